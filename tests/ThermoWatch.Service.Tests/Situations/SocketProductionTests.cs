using System.Text.Json;
using ThermoWatch.Service.Tests.Rejudging;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>Production without a sensor on any board, the whole way from the machine's registers to the client that asks what each run was like.</summary>
public sealed class SocketProductionTests
{
    private const int Released = 8;

    [Fact]
    public async Task Production_runs_are_found_compared_with_released_ones_within_five_seconds_and_never_judged()
    {
        Scenario scenario = ScenarioLibrary.Find("two-hundred-production-runs")!;
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            scenario with { Runs = [new RunStretch(Released + 2) { Faults = [new PlannedFault(FaultKind.Leak, Amount: 120)] }, new RunStretch(Released + 3) { Boards = 2 }] },
            json => SimulatedRecord.StripProductSensors(json), periodSeconds: 0.4);
        List<string> results = [];
        for (int run = 1; run <= Released + 3; run++)
        {
            double seen = await floor.EndOfAsync(run);
            JsonElement ended = (await floor.GetAsync($"runs/{run}")).GetProperty("run");
            Assert.InRange(seen - SocketFloor.Seconds(ended.GetProperty("end")), 0, 5);
            Assert.Equal("production", ended.GetProperty("kind").GetString());
            JsonElement comparison = await floor.GetAsync($"runs/{run}/comparison");
            results.Add(comparison.GetProperty("result").GetString()!);
            if (run <= Released)
            {
                await floor.PostAsync($"runs/{run}/reference", new { by = "Ines", reason = "first day" });
            }

            string all = (await floor.GetAsync($"runs/{run}")).GetRawText() + comparison.GetRawText();
            Assert.DoesNotContain("\"pass\"", all, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain("noChannel", all, StringComparison.Ordinal);
        }

        // With fewer than five released ones nothing is said, nor of another load; a leak differs. By five released ones one good run in nine does.
        Assert.All(results.Take(5).Append(results[^1]), r => Assert.Equal("notComparable", r));
        Assert.True(results.Skip(5).Take(Released - 4).Count(r => r == "consistent") >= Released - 5, string.Join(' ', results));
        Assert.Equal("differs", results[^2]);
        Assert.Equal(Released + 3, (await floor.RunsListedAsync()).Length);
    }
}
