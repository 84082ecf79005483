using System.Globalization;
using System.Text.Json.Nodes;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Demo;
using ThermoWatch.Simulator;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>
/// Production without a sensor on any board, run after run as it comes over the wire, each run compared with released ones.
/// All two hundred with THERMOWATCH_FULL=1.
/// </summary>
public sealed class ProductionDayTests
{
    private const int Released = 31;

    private static readonly int s_runs = Environment.GetEnvironmentVariable("THERMOWATCH_FULL") is null ? 58 : 200;
    private static readonly Timestamp s_born = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    /// <summary>The demo's cell, which counts its boards; without its contact for a running programme vapour and vacuum alone show a run.</summary>
    private static CellConfiguration Cell(bool wired)
    {
        string folder = Path.Combine(Repository.Root, "src", "ThermoWatch.Service", "Demo");
        JsonNode json = JsonNode.Parse(File.ReadAllText(Path.Combine(folder, "thermowatch.json")))!;
        JsonNode cell = json["cells"]![0]!;
        if (!wired)
        {
            cell["channels"]!.AsArray().RemoveAll(c => (string?)c!["id"] == "running");
        }

        ConfigurationResult read = ConfigurationReader.Read(json.ToJsonString(), [], name => File.ReadAllBytes(Path.Combine(folder, name)));
        Assert.Empty(read.Faults);
        return Assert.Single(read.Node!.Cells);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Every_production_run_is_found_and_compared_and_none_is_judged(bool contactIsWired)
    {
        Dictionary<long, RunLabel> labels = [];
        CellConfiguration cell = Cell(contactIsWired);
        var machine = new SimulatedCell(new SimulatorOptions { Scenario = "two-hundred-production-runs", Seed = 1 });
        var engine = new CellEngine(cell.Definition);
        List<EngineEvent> events = [];
        engine.Advance(new SpecInput(s_born, "A", cell.Spec!), events);
        List<(RunEvent Told, RunPicture Run)> runs = [];
        while (machine.Truth.RunNumber <= s_runs || machine.Truth.RunTime.TotalSeconds < -5)
        {
            machine.AdvanceTo(machine.MachineTime + (2 * SimulatedCell.SamplePeriod));
            labels[machine.Run.Number] = machine.Run;
            var one = new DemoHistory();
            one.Keep(machine);
            foreach (EngineInput input in one.Scans(((ModbusDeviceOptions)cell.Devices[0]).Points, s_born, () => null))
            {
                int seen = events.Count;
                engine.Advance(input, events);
                if (events.Skip(seen).OfType<RunEvent>().FirstOrDefault(e => e.State == RunState.Ended) is { } ended)
                {
                    runs.Add((ended, engine.Picture().Runs.Single(r => r.Number == ended.Run)));
                }
            }
        }

        Assert.Equal(Enumerable.Range(1, s_runs).Select(n => (long)n), runs.Select(r => r.Told.Run));
        List<ProductionRun> released = [];
        (int consistent, int good) = (0, 0);
        List<string> odd = [];
        foreach ((RunEvent told, RunPicture run) in runs)
        {
            RunLabel label = labels[run.Number];
            Assert.InRange(told.Time.SecondsSince(run.End!.Value), 0, 5);
            Assert.Equal((RunKind.Production, null, label.Boards), (run.Kind, run.Verdict, run.Load!.Value));
            Assert.All(run.Figures, f => Assert.Null(f.Verdict));
            Assert.DoesNotContain(run.Figures, f => f.ChannelId is not null); // no board's temperature is made up

            var mine = new ProductionRun(run.Number, run.Start, new ProductionKey(null, run.SpecName, run.SpecVersion, run.Recipe, run.Load), run.Figures);
            if (run.Number <= Released)
            {
                released.Add(mine);
                continue;
            }

            ProductionComparison compared = ProductionComparison.Of(mine, released, []);
            if (label.Boards != 4)
            {
                Assert.Equal(Likeness.NotComparable, compared.Result);
                Assert.Contains("another load", compared.Reason, StringComparison.Ordinal);
            }
            else if (!label.Faults.IsEmpty)
            {
                Assert.True(compared.Result == Likeness.Differs, $"run {run.Number} has {label.Faults[0].Kind} and is {compared.Result}");
            }
            else
            {
                (consistent, good) = (consistent + (compared.Result == Likeness.Consistent ? 1 : 0), good + 1);
                odd.AddRange(compared.Figures.Where(f => f.Apart).Select(f => string.Create(CultureInfo.InvariantCulture, $"run {run.Number}: {f.Figure} {f.Value} not in {f.Low} to {f.High}")));
            }
        }

        Assert.True(consistent >= 0.95 * good, $"{consistent} of {good} good runs are like the released ones:\n{string.Join('\n', odd)}");
    }
}
