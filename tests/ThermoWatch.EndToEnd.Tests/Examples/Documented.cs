using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.SignalR.Client;

namespace ThermoWatch.EndToEnd.Tests.Examples;

/// <summary>The C# examples of the documents, word for word but for the address; <c>ExampleTests</c> holds them together and runs them.</summary>
/// <param name="address">Address of the service.</param>
/// <param name="Console">Takes the place of the console.</param>
internal sealed class Documented(string address, TextWriter Console)
{
    /// <summary>Looks on at the hub, for as long as the caller waits.</summary>
    public async Task WatchAsync(Func<Task> meanwhile)
    {
        // <example>
        await using HubConnection hub = new HubConnectionBuilder().WithUrl(address + "/hubs/live").WithAutomaticReconnect().Build();
        JsonElement[] channels = [];
        hub.On<int, long, double, byte[]>("scan", (cell, seq, t, data) =>
        {
            IEnumerable<string> read = channels.Select((channel, i) => $"{channel.GetProperty("id")} {BitConverter.ToSingle(data, 4 * i):F1}");
            Console.WriteLine($"{DateTimeOffset.FromUnixTimeMilliseconds((long)t):O} {string.Join(", ", read)}");
        });
        await hub.StartAsync();
        JsonElement[] cells = await hub.InvokeAsync<JsonElement[]>("cells");
        int first = cells[0].GetProperty("cell").GetInt32();
        channels = [.. (await hub.InvokeAsync<JsonElement>("layout", first)).GetProperty("channels").EnumerateArray()];
        await hub.InvokeAsync<JsonElement>("watch", first);
        // </example>
        await meanwhile();
    }

    /// <summary>Runs that failed in the last week.</summary>
    public async Task FailedRunsAsync()
    {
        // <example>
        using HttpClient http = new() { BaseAddress = new Uri(address) };
        string since = TimeProvider.System.GetUtcNow().AddDays(-7).ToString("O");
        string? before = "";
        while (before is not null)
        {
            JsonElement page = await http.GetFromJsonAsync<JsonElement>($"/api/v1/cells/1/runs?verdict=fail&from={Uri.EscapeDataString(since)}{before}");
            foreach (JsonElement run in page.GetProperty("runs").EnumerateArray())
            {
                Console.WriteLine($"run {run.GetProperty("number")}: {string.Join(", ", run.GetProperty("reasons").EnumerateArray())}");
            }

            before = page.GetProperty("next") is { ValueKind: JsonValueKind.Number } next ? $"&before={next}" : null;
        }
        // </example>
    }

    /// <summary>How the feeds stand.</summary>
    public async Task FeedsAsync()
    {
        // <example>
        using HttpClient http = new() { BaseAddress = new Uri(address) };
        JsonElement feeds = await http.GetFromJsonAsync<JsonElement>("/api/v1/feeds");
        foreach (JsonElement feed in feeds.GetProperty("feeds").EnumerateArray())
            Console.WriteLine($"{feed.GetProperty("id")}: {feed.GetProperty("state")}, {feed.GetProperty("lagSeconds")} s behind");
        // </example>
    }
}
