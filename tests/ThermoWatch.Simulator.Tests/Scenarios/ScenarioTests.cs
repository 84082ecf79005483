using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Tests.Runs;

namespace ThermoWatch.Simulator.Tests.Scenarios;

public class ScenarioTests
{
    public static TheoryData<string> Names => [.. ScenarioLibrary.Names];

    [Theory]
    [MemberData(nameof(Names))]
    public void Every_scenario_reads_plays_and_repeats_to_the_byte(string name)
    {
        var first = new SimulatedCell(new SimulatorOptions { Scenario = name });
        var second = new SimulatedCell(new SimulatorOptions { Scenario = name });
        Assert.Equal(name, first.Scenario.Name);
        Assert.NotEmpty(first.Scenario.Description);
        for (int i = 1; i <= 900; i++)
        {
            first.AdvanceTo(TimeSpan.FromSeconds(i));
        }

        second.AdvanceTo(TimeSpan.FromSeconds(900));
        Assert.True(first.Instruments.Values.SequenceEqual(second.Instruments.Values));
        Assert.True(first.Truth.RunNumber >= 2);
    }

    [Fact]
    public void Second_carrier_comes_warm_twenty_seconds_after_the_first()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> samples = Playback.Runs(new SimulatorOptions { Scenario = "warm-second-carrier" }, 2);
        CellTruth loaded = samples.First(s => s.Truth.RunNumber == 2).Truth;
        Assert.All(loaded.ProductCelsius, c => Assert.Equal(57, c, 0.5));
        Assert.InRange(-loaded.RunTime.TotalSeconds, 20, 23);
    }

    [Fact]
    public void Production_runs_have_open_product_inputs_and_living_process_sensors()
    {
        foreach ((_, InstrumentFrame frame) in Playback.Runs(new SimulatorOptions { Scenario = "two-hundred-production-runs" }, 1))
        {
            Assert.All(frame.Values[..SimulatedChannels.ProductCount].ToArray(), v => Assert.True(float.IsNaN(v)));
            Assert.All(frame.Values[SimulatedChannels.ProductCount..].ToArray(), v => Assert.True(float.IsFinite(v)));
        }
    }

    [Fact]
    public void Stepped_vacuum_waits_at_each_step()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> run = Playback.Runs(new SimulatorOptions { Scenario = "stepped-vacuum" }, 1);
        var soak = run.Where(s => s.Truth.Phase == MachinePhase.Soak).ToList();
        Assert.InRange(soak.Min(s => s.Truth.ChamberMbar), 590, 601);
        Assert.True(soak.First(s => s.Truth.ChamberMbar < 990).Truth.ProductCelsius.Max() is > 139.5 and < 145);
        Assert.InRange(soak[^1].Truth.ChamberMbar, 1000, 1015);
        double near = run.Count(s => s.Truth.Phase == MachinePhase.Evacuation && s.Truth.ChamberMbar is > 95 and < 106) * 0.1;
        Assert.InRange(near, 4.8, 6);
        Assert.True(run.Min(s => s.Truth.ChamberMbar) < 5);
    }

    [Fact]
    public void Nitrogen_vent_overshoots_to_1080_and_settles()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> run = Playback.Runs(new SimulatorOptions { Scenario = "overshooting-vent" }, 1);
        Assert.InRange(run.Max(s => s.Truth.ChamberMbar), 1075, 1083);
        Assert.InRange(run[^1].Truth.ChamberMbar, 988, 992);
    }

    [Fact]
    public void Recipe_without_vacuum_never_evacuates()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> samples = Playback.Runs(new SimulatorOptions { Scenario = "recipe-without-vacuum" }, 3);
        Assert.True(samples.Where(s => s.Truth.RunNumber == 2).Min(s => s.Truth.ChamberMbar) < 5);
        Assert.True(samples.Where(s => s.Truth.RunNumber == 3).Min(s => s.Truth.ChamberMbar) > 1000);
    }

    [Fact]
    public void Power_dip_keeps_the_boards_above_liquidus_for_96_s_at_least()
    {
        var second = Playback.Runs(new SimulatorOptions { Scenario = "power-dip" }, 2).Where(s => s.Truth.RunNumber == 2).ToList();
        Assert.All(Enumerable.Range(0, SimulatedChannels.ProductCount), place => Assert.True(second.SecondsAbove(place, 220) > 96));
    }

    [Fact]
    public void Low_barometer_and_aged_fluid_move_the_plateau_by_3_K()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> samples = Playback.Runs(new SimulatorOptions { Scenario = "low-barometer", NoiseFree = true }, 3);
        double Plateau(int run) => samples.Where(s => s.Truth.RunNumber == run).Max(s => s.Truth.VapourCelsius);
        Assert.Equal(3, Plateau(2) - Plateau(3), 0.15);
    }

    [Fact]
    public void First_side_stays_below_its_solidus_while_tin_bismuth_melts()
    {
        // Sn42Bi58 liquidus 138, SAC305 solidus 217: reference/process/alloys.csv.
        List<(CellTruth Truth, InstrumentFrame Frame)> run = Playback.Runs(new SimulatorOptions { Scenario = "tin-bismuth-second-side" }, 1);
        Assert.True(run.Max(s => s.Truth.ProductCelsius.Max()) < 217);
        Assert.All(Enumerable.Range(0, SimulatedChannels.ProductCount), place => Assert.InRange(run.SecondsAbove(place, 138), 20, 90));
    }

    [Fact]
    public void Sensor_seven_reads_high_at_the_plateau()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> run = Playback.Runs(new SimulatorOptions { Scenario = "sensor-seven-drifted", NoiseFree = true }, 1);
        (CellTruth truth, InstrumentFrame frame) = run.Last(s => s.Truth.Phase == MachinePhase.Vapour);
        double emf = frame.Millivolts(6) + Domain.Thermocouples.TypeK.MillivoltsAt(frame.ColdJunctionCelsius);
        Assert.Equal(3.1, Simulator.Instruments.Linearisation.HotJunction(emf, 230) - truth.ProductCelsius[6], 0.1);
    }

    [Fact]
    public void Two_carriers_overlap_and_never_want_the_same_station()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> samples = Playback.Runs(new SimulatorOptions { Scenario = "two-carriers" }, 5);
        static bool AtStations(MachinePhase phase) => phase is MachinePhase.Vapour or MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent;
        static bool InProcess(MachinePhase phase) => phase != MachinePhase.Idle;
        Assert.DoesNotContain(samples, s => AtStations(s.Truth.Phase) && AtStations(s.Truth.Second!.Phase));
        Assert.True(samples.Count(s => InProcess(s.Truth.Phase) && InProcess(s.Truth.Second!.Phase)) > samples.Count / 3);
        Assert.Equal([1, 3, 5], samples.Select(s => s.Truth.RunNumber).Distinct());
        Assert.Equal([2, 4], samples.Select(s => s.Truth.Second!.RunNumber).Distinct().Take(2));

        // Both see their own vacuum on the one gauge, over their own molten boards.
        foreach ((Range places, Func<CellTruth, MachinePhase> phase) in new (Range, Func<CellTruth, MachinePhase>)[] { (..4, t => t.Phase), (4.., t => t.Second!.Phase) })
        {
            var hold = samples.Where(s => phase(s.Truth) == MachinePhase.Hold).ToList();
            Assert.True(hold.Count > 200);
            Assert.All(hold, s => Assert.True(s.Truth.ChamberMbar < 6 && s.Truth.ProductCelsius.ToArray()[places].Min() > 220));
        }
    }

    [Fact]
    public void Bad_week_goes_as_told()
    {
        var cell = new SimulatedCell(new SimulatorOptions { Scenario = "bad-week" });
        Dictionary<int, RunLabel> labels = [];
        Dictionary<int, double> above = [];
        for (TimeSpan at = TimeSpan.Zero; !labels.ContainsKey(45); at += TimeSpan.FromSeconds(0.5))
        {
            cell.AdvanceTo(at);
            int run = cell.Run.Number;
            labels[run] = cell.Run;
            above[run] = above.GetValueOrDefault(run) + (cell.Truth.ProductCelsius[2] >= 220 ? 0.5 : 0);
        }

        Assert.All(Enumerable.Range(1, 45), n => Assert.NotNull(labels[n].Story));
        Assert.All(Enumerable.Range(1, 24), n => Assert.True(labels[n] is { Instrumented: true, Faults.IsEmpty: true }));
        Assert.False(labels[27].Instrumented);
        Assert.Equal(14, labels[38].RecipeNumber);
        Assert.Equal(2, labels[36].Boards);
        Assert.True(above[24] < 75 && above[25] is > 90 and < 105, $"{above[24]} {above[25]}");
    }

    [Theory]
    [InlineData("""{ "name": "x", "runz": [] }""", "runz")]
    [InlineData("""{ "name": "x", "runs": [ { "from": 1, "faults": [ { "kind": "leaky" } ] } ] }""", "Line 1")]
    [InlineData("""{ "name": "x", "runs": [ { "from": 1, "faults": [ { "kind": "detached", "amount": 0.5 } ] } ] }""", "needs a channel")]
    [InlineData("""{ "name": "x", "runs": [ { "from": 1, "faults": [ { "kind": "leak", "channel": 2 } ] } ] }""", "has no channel")]
    [InlineData("""{ "name": "x", "runs": [ { "from": 1, "faults": [ { "kind": "coldSpot", "amount": 40, "channel": 8 } ] } ] }""", "0 to 7")]
    [InlineData("""{ "name": "x", "boards": 3 }""", "1, 2 or 4")]
    [InlineData("""{ "name": "x", "runs": [ { "from": 3, "to": 2 } ] }""", "from 3 to 2")]
    [InlineData("""{ "description": "no name" }""", "name")]
    [InlineData("""{ "name": "x", "carriers": 2 }""", "inLine")]
    [InlineData("null", "no scenario")]
    public void Wrong_scenario_is_refused_with_its_reason(string json, string reason)
    {
        (Scenario? scenario, IReadOnlyList<string> problems) = ScenarioFile.Parse(json);
        Assert.Null(scenario);
        Assert.Contains(problems, p => p.Contains(reason, StringComparison.Ordinal));
    }
}
