using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Demo;
using ThermoWatch.Simulator;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>Days of the floor lived through by the engine as they come over the wire, several runs in a row.</summary>
public sealed class LiveSituationTests
{
    private static readonly Timestamp s_born = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    private sealed record Lived(IReadOnlyList<EngineEvent> Events, IReadOnlyList<CellTruth> Truth, IReadOnlyList<TimeSpan> Times, CellPicture Picture)
    {
        /// <summary>Seconds at which the machine does something in a run for the first time.</summary>
        public double At(int run, Func<CellTruth, bool> what) => Times[Enumerable.Range(0, Truth.Count).First(i => Truth[i].RunNumber == run && what(Truth[i]))].TotalSeconds;

        public double Seconds(Timestamp time) => time.SecondsSince(s_born);
    }

    private static Lived Live(string scenario, int runs)
    {
        string folder = Path.Combine(Repository.Root, "src", "ThermoWatch.Service", "Demo");
        CellConfiguration cell = Assert.Single(ConfigurationReader.Read(
            File.ReadAllText(Path.Combine(folder, "thermowatch.json")), [], name => File.ReadAllBytes(Path.Combine(folder, name))).Node!.Cells);
        var machine = new SimulatedCell(new SimulatorOptions { Scenario = scenario, Seed = 3 });
        List<CellTruth> truth = [];
        List<TimeSpan> times = [];
        List<EngineEvent> events = [];
        var engine = new CellEngine(cell.Definition);
        engine.Advance(new SpecInput(s_born, "A", cell.Spec!), events);
        var history = new DemoHistory();
        while (machine.Truth.RunNumber <= runs || machine.Truth.RunTime.TotalSeconds < -5)
        {
            machine.AdvanceTo(machine.MachineTime + SimulatedCell.SamplePeriod);
            history.Keep(machine);
            truth.Add(machine.Truth);
            times.Add(machine.MachineTime);
        }

        foreach (EngineInput input in history.Scans(((ModbusDeviceOptions)cell.Devices[0]).Points, s_born, () => null))
        {
            engine.Advance(input, events);
        }

        return new Lived(events, truth, times, engine.Picture());
    }

    [Fact]
    public void Second_carrier_loaded_warm_is_a_run_of_its_own()
    {
        Lived lived = Live("warm-second-carrier", 2);
        RunEvent[] runs = [.. lived.Events.OfType<RunEvent>()];

        Assert.Equal([RunState.Started, RunState.Ended, RunState.Started, RunState.Ended], runs.Select(r => r.State));
        Assert.Equal([1L, 1L, 2L, 2L], runs.Select(r => r.Run));

        // A run begins where its first curve last was within 1 K of its least value: a slow first kelvin of boards that come warm
        // takes the start 5.2 s behind the heating's here.
        Assert.Equal(lived.At(1, t => t.RunTime >= TimeSpan.Zero), lived.Seconds(runs[0].Start), 5.0);
        Assert.Equal(lived.At(2, t => t.RunTime >= TimeSpan.Zero), lived.Seconds(runs[2].Start), 6.0);
        RunPicture second = lived.Picture.Runs.Single(r => r.Number == 2);
        Assert.Contains("warmStart", second.Notes);
        Assert.DoesNotContain("abandoned", runs.Select(r => r.Reason));
    }

    [Fact]
    public void Overshooting_vent_and_a_gauge_that_drifts_do_not_move_the_next_evacuation()
    {
        Lived lived = Live("overshooting-vent", 3);
        PhaseEvent[] evacuations = [.. lived.Events.OfType<PhaseEvent>().Where(p => p.Phase.Name == "evacuate")];
        Assert.Equal([1L, 2L, 3L], evacuations.Select(e => e.Run));
        for (int run = 1; run <= 3; run++)
        {
            Assert.Equal(lived.At(run, t => t.Phase == MachinePhase.Evacuation), lived.Seconds(evacuations[run - 1].Phase.Start), 0.5);
        }
    }

    [Fact]
    public void Good_runs_raise_no_alarm()
    {
        Lived lived = Live("hundred-good-runs", 5);
        Assert.Equal(5, lived.Events.OfType<RunEvent>().Count(r => r.State == RunState.Ended));
        Assert.Empty(lived.Events.OfType<AlarmEvent>());
    }
}
