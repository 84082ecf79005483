using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.SignalR;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>What people do with alarms over the hub of the delivered program, and what is left of it after the process was killed.</summary>
public sealed class AlarmTests
{
    private const string Silent = "deviceSilent/amplifier";

    [Fact]
    public async Task People_acknowledge_shelve_and_take_out_of_service_over_the_hub_and_a_kill_at_any_moment_loses_nothing()
    {
        await using Node node = new();
        await node.StartServiceAsync(); // no machine answers: that is the alarm
        await using (LiveClient client = await LiveClient.ConnectAsync(node.Port))
        {
            Alarm alarm = Told(await client.StateWhenAsync(s => Told(s) is { State: "unacknowledged" }))!;
            Assert.Equal("No data from Thermocouple amplifier.", alarm.What);
            Assert.Equal("Keine Daten von Thermocouple amplifier.", alarm.German!.What);

            await client.OrderAsync("acknowledge", Silent, "Kim", "plug is loose");
            alarm = Told(await client.StateWhenAsync(s => Told(s) is { State: "acknowledged" }))!;
            Assert.Equal(("Kim", "plug is loose"), (alarm.By, alarm.Comment));

            await RefusedAsync(client, "reason is empty", "shelve", Silent, "Kim", "", 5.0, false);
            await RefusedAsync(client, "minutes is 10000", "shelve", Silent, "Kim", "repair", 10000.0, false);
            await RefusedAsync(client, "by is empty", "acknowledge", Silent, " ", "");
            await RefusedAsync(client, "has no alarm tooHot/tc99", "acknowledge", "tooHot/tc99", "Kim", "");

            await client.OrderAsync("shelve", Silent, "Ines", "repair until noon", 30.0, false);
            State shelved = await client.StateWhenAsync(s => Hidden(s) is { State: "shelved" });
            Assert.Equal(("Ines", "repair until noon"), (Hidden(shelved)!.By, Hidden(shelved)!.Comment));
            Assert.InRange(Hidden(shelved)!.Until!.Value - shelved.T, 29 * 60_000, 30 * 60_000);
            Assert.Null(Told(shelved));

            await client.OrderAsync("unshelve", Silent, "Ines");
            await client.StateWhenAsync(s => Told(s) is { State: "unacknowledged", By: "Ines" });

            await client.OrderAsync("outOfService", Silent, "Jon", "amplifier is being replaced");
            Assert.Equal("amplifier is being replaced", Hidden(await client.StateWhenAsync(s => Hidden(s) is { State: "outOfService" }))!.Comment);
            await client.OrderAsync("returnToService", Silent, "Jon", "replaced");
            await client.StateWhenAsync(s => Told(s) is { State: "unacknowledged", By: "Jon" });
            await client.OrderAsync("reset", Silent, "Jon", "it does not latch"); // changes nothing
            await client.OrderAsync("shelve", Silent, "Jon", "next try", 60.0, false);
            await client.StateWhenAsync(s => Hidden(s) is { State: "shelved" });
        }

        // The moment of death differs each time; what was shown before it stands after it.
        Random moments = new(20260302);
        for (int round = 0; round < 3; round++)
        {
            await Task.Delay(moments.Next(20, 400));
            await node.Service!.KillAsync();
            await node.StartServiceAsync();
            await using LiveClient again = await LiveClient.ConnectAsync(node.Port);
            Alarm kept = Hidden(await again.StateWhenAsync(s => Hidden(s) is not null))!;
            Assert.Equal(("shelved", "Jon", "next try"), (kept.State, kept.By, kept.Comment));
        }

        using var http = new HttpClient { BaseAddress = new Uri($"http://localhost:{node.Port}") };
        using JsonDocument history = JsonDocument.Parse(await http.GetStringAsync(new Uri("/api/v1/cells/1/alarms/history?limit=1000", UriKind.Relative), TestContext.Current.CancellationToken));
        JsonElement[] steps = [.. history.RootElement.GetProperty("steps").EnumerateArray().Where(s => s.GetProperty("alarmId").GetString() == Silent).Reverse()];
        string[] signals = ["conditionActive", "acknowledge", "shelve", "unshelveActive", "removeFromService", "returnActive", "shelve"];
        Assert.Equal(signals, steps.Select(s => s.GetProperty("signal").GetString()).Take(signals.Length));
        Assert.Equal(("Ines", "repair until noon"), (steps[2].GetProperty("by").GetString(), steps[2].GetProperty("comment").GetString()));
        Assert.NotNull(steps[2].GetProperty("until").GetString());
        Assert.Equal(steps.Length, steps.Select(s => (s.GetProperty("time").GetString(), s.GetProperty("state").GetString(), s.GetProperty("signal").GetString())).Distinct().Count());
    }

    [Fact]
    public async Task What_was_said_of_a_run_and_decided_outlives_a_kill_right_after_the_answer()
    {
        DirectoryInfo data = Directory.CreateTempSubdirectory("thermowatch-test-");
        int port = FreePorts.Next();
        Random moments = new(7);
        for (int round = 1; round <= 3; round++)
        {
            await using ProgramRun demo = ProgramRun.Start(["demo", "--port", port.ToString(), "--data", data.FullName]);
            await demo.SaysAsync("is at http://localhost:" + port);
            using var http = new HttpClient { BaseAddress = new Uri($"http://localhost:{port}") };
            for (int earlier = 1; earlier < round; earlier++)
            {
                using JsonDocument record = JsonDocument.Parse(await http.GetStringAsync(new Uri($"/api/v1/cells/1/runs/{earlier}/record", UriKind.Relative), TestContext.Current.CancellationToken));
                Assert.Equal($"Product {earlier}", record.RootElement.GetProperty("product").GetString());
                using JsonDocument decisions = JsonDocument.Parse(await http.GetStringAsync(new Uri($"/api/v1/cells/1/runs/{earlier}/decisions", UriKind.Relative), TestContext.Current.CancellationToken));
                Assert.Equal("hold", decisions.RootElement.GetProperty("decisions")[0].GetProperty("kind").GetString());
            }

            await Task.Delay(moments.Next(0, 300));
            using HttpResponseMessage edited = await http.PatchAsJsonAsync($"/api/v1/cells/1/runs/{round}/record", new { by = "Ines", product = $"Product {round}" }, TestContext.Current.CancellationToken);
            using HttpResponseMessage decided = await http.PostAsJsonAsync($"/api/v1/cells/1/runs/{round}/decisions", new { kind = "hold", by = "Ines", reason = "waits" }, TestContext.Current.CancellationToken);
            Assert.True(edited.IsSuccessStatusCode && decided.IsSuccessStatusCode);
            await demo.KillAsync();
        }

        data.Delete(recursive: true);
    }

    private static Alarm? Told(State state) => state.Alarms.FirstOrDefault(a => a.Id == Silent);

    private static Alarm? Hidden(State state) => state.HiddenAlarms.FirstOrDefault(a => a.Id == Silent);

    private static async Task RefusedAsync(LiveClient client, string why, string method, params object?[] arguments) =>
        Assert.Contains(why, (await Assert.ThrowsAsync<HubException>(() => client.OrderAsync(method, arguments))).Message, StringComparison.Ordinal);
}
