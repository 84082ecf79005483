using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Logging;
using ThermoWatch.Service.Api;

namespace ThermoWatch.Service.Tests.Api;

/// <summary>A request that does not fit is answered with the part that does not.</summary>
public sealed class BadRequestTests
{
    [Theory]
    [InlineData("/quality", null, 400, "cell: is missing.")]
    [InlineData("/quality?cell=x", null, 400, "cell: \"x\" cannot be read.")]
    [InlineData("/quality?cell=1&from=2026-13-40", null, 400, "from: \"2026-13-40\" cannot be read.")]
    [InlineData("/decide", "", 400, "body: there is none.")]
    [InlineData("/decide", "{", 400, "body: this is no JSON that fits.")]
    [InlineData("/decide", """{ "by": "A", "reasno": "x" }""", 400, "body: reasno is not known here, and nothing was taken.")]
    [InlineData("/decide", """{ "by": 5 }""", 400, "body, by: the value does not fit.")]
    public async Task Problem_says_which_part_and_where_its_form_is_described(string address, string? body, int status, string detail)
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.Services.AddApi();
        await using WebApplication app = builder.Build();
        app.Urls.Add("http://127.0.0.1:0");
        app.UseStatusCodePages();
        app.UseBadRequests();
        app.MapGet("/quality", (int cell, DateTimeOffset? from = null) => $"{cell} {from}");
        app.MapPost("/decide", (Said said) => said.By);
        await app.StartAsync(TestContext.Current.CancellationToken);

        using HttpClient http = new() { BaseAddress = new Uri(app.Urls.Single()) };
        using var content = new StringContent(body ?? "", Encoding.UTF8, "application/json");
        using HttpResponseMessage answer = body is null
            ? await http.GetAsync(new Uri(address, UriKind.Relative), TestContext.Current.CancellationToken)
            : await http.PostAsync(new Uri(address, UriKind.Relative), content, TestContext.Current.CancellationToken);
        Assert.Equal((HttpStatusCode)status, answer.StatusCode);
        JsonElement problem = await answer.Content.ReadFromJsonAsync<JsonElement>(TestContext.Current.CancellationToken);
        Assert.Equal($"{detail} What it must be stands in /openapi/v1.json.", problem.GetProperty("detail").GetString());
    }

    private sealed record Said(string By);
}
