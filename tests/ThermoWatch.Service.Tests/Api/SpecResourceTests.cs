using System.Net;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Logging;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Service.Api;

namespace ThermoWatch.Service.Tests.Api;

public sealed class SpecResourceTests : IAsyncLifetime
{
    private readonly WebApplication _app;
    private HttpClient _client = null!;

    public SpecResourceTests()
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        _app = builder.Build();
    }

    public async ValueTask InitializeAsync()
    {
        _app.Urls.Add("http://127.0.0.1:0");
        _app.MapGroup("/api/v1").MapSpecs();
        _app.MapSchemas();
        await _app.StartAsync(TestContext.Current.CancellationToken);
        _client = new HttpClient { BaseAddress = new Uri(_app.Urls.Single()) };
    }

    public async ValueTask DisposeAsync()
    {
        _client.Dispose();
        await _app.DisposeAsync();
    }

    private async Task<(HttpStatusCode Status, string Type, JsonElement Json)> Get(string path)
    {
        using HttpResponseMessage answer = await _client.GetAsync(new Uri(path, UriKind.Relative), TestContext.Current.CancellationToken);
        string text = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        return (answer.StatusCode, answer.Content.Headers.ContentType!.MediaType!, JsonDocument.Parse(text).RootElement);
    }

    [Theory]
    [InlineData("/schemas/spec.schema.json")]
    [InlineData("/schemas/thermowatch.schema.json")]
    public async Task Schemas_are_served(string path)
    {
        (HttpStatusCode status, string type, JsonElement json) = await Get(path);
        Assert.Equal((HttpStatusCode.OK, "application/schema+json"), (status, type));
        Assert.Equal("https://json-schema.org/draft/2020-12/schema", json.GetProperty("$schema").GetString());
    }

    [Fact]
    public async Task Alloys_come_with_their_sources()
    {
        JsonElement[] alloys = [.. (await Get("/api/v1/alloys")).Json.EnumerateArray()];
        Assert.Equal(AlloyLibrary.All.Select(a => (a.Name, a.Liquidus, a.Source)), alloys.Select(a =>
            (a.GetProperty("name").GetString()!, a.GetProperty("liquidus").GetDouble(), a.GetProperty("source").GetString()!)));
    }

    [Fact]
    public async Task Component_ceilings_are_limits_for_bodies_and_no_profile()
    {
        JsonElement json = (await Get("/api/v1/component-ceilings?process=Pb-free&thickness_mm=2&volume_mm3=500")).Json;
        Assert.Equal(250, json.GetProperty("classification").GetDouble());
        Assert.Equal(["peakTemperature", "timeAboveLiquidus"], json.GetProperty("limits").EnumerateArray().Select(l => l.GetProperty("figure").GetString()));
        Assert.All(json.GetProperty("limits").EnumerateArray(), l => Assert.Equal("body", Assert.Single(l.GetProperty("places").EnumerateArray()).GetString()));
        Assert.Contains("not one for a board", json.GetProperty("note").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("process=lead&thickness_mm=2&volume_mm3=500", "SnPb or Pb-free")]
    [InlineData("process=SnPb&thickness_mm=-2&volume_mm3=500", "above 0 to 100 mm")]
    [InlineData("process=SnPb&thickness_mm=2&volume_mm3=NaN", "above 0 to 10000000 mm3")]
    [InlineData("process=SnPb&thickness_mm=2&volume_mm3=500&revision=Z", "C or D")]
    public async Task What_is_no_package_is_a_problem_with_its_remedy(string query, string remedy)
    {
        (HttpStatusCode status, string type, JsonElement json) = await Get("/api/v1/component-ceilings?" + query);
        Assert.Equal((HttpStatusCode.BadRequest, "application/problem+json"), (status, type));
        Assert.Contains(remedy, json.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }
}
