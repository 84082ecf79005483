using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Machines;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Tests.Faults;

/// <summary>
/// What each fault touches and what it leaves alone, against the same run without it: a broken sensor changes no board, a cut line no
/// reading, a slow pump no board before it changes the pressure. How much it does stands in <see cref="FaultTests"/>.
/// </summary>
public class FaultSignatureTests
{
    private static readonly Lazy<FleetRun> s_clean = new(() => Play([]));

    /// <summary>What differs first of what is true.</summary>
    public enum True
    {
        /// <summary>Nothing ever does.</summary>
        Nothing,

        /// <summary>What the programme does.</summary>
        Programme,

        /// <summary>The chamber's pressure.</summary>
        Chamber,

        /// <summary>All boards and the vapour.</summary>
        Boards,

        /// <summary>One place on a board.</summary>
        OnePlace,
    }

    /// <summary>What differs of what is measured.</summary>
    public enum Measured
    {
        /// <summary>Nothing.</summary>
        Nothing,

        /// <summary>The input that the fault is at, and no other.</summary>
        OneInput,

        /// <summary>The gauge alone.</summary>
        Gauge,

        /// <summary>Whatever follows from what is true.</summary>
        WhatIsTrue,
    }

    private static readonly Dictionary<FaultKind, (True First, Measured Wire, bool Arrives)> s_signatures = new()
    {
        [FaultKind.OpenCircuit] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.OpenDrifting] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.Reversed] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.Shorted] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.Detached] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.WrongType] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.ColdJunctionGradient] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.SensorDrift] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.MainsPickup] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.Stuck] = (True.Nothing, Measured.OneInput, true),
        [FaultKind.GaugeDead] = (True.Nothing, Measured.Gauge, true),
        [FaultKind.GaugeBelowZero] = (True.Nothing, Measured.Gauge, true),
        [FaultKind.GaugeDrift] = (True.Nothing, Measured.Gauge, true),
        [FaultKind.SlowPump] = (True.Chamber, Measured.WhatIsTrue, true),
        [FaultKind.Leak] = (True.Chamber, Measured.WhatIsTrue, true),
        [FaultKind.VirtualLeak] = (True.Chamber, Measured.WhatIsTrue, true),
        [FaultKind.StuckVent] = (True.Chamber, Measured.WhatIsTrue, true),
        [FaultKind.WeakVapour] = (True.Boards, Measured.WhatIsTrue, true),
        [FaultKind.EarlyFreezing] = (True.Boards, Measured.WhatIsTrue, true),
        [FaultKind.SlowCooling] = (True.Boards, Measured.WhatIsTrue, true),
        [FaultKind.Overshoot] = (True.OnePlace, Measured.WhatIsTrue, true),
        [FaultKind.ColdSpot] = (True.OnePlace, Measured.WhatIsTrue, true),
        [FaultKind.LateEvacuation] = (True.Programme, Measured.WhatIsTrue, true),
        [FaultKind.LongHold] = (True.Programme, Measured.WhatIsTrue, true),
        [FaultKind.ProgrammeStopped] = (True.Boards, Measured.WhatIsTrue, true), // its heaters are off before its next step is late
        [FaultKind.LineCut] = (True.Nothing, Measured.Nothing, false),
        [FaultKind.SlaveSilent] = (True.Nothing, Measured.Nothing, false),
        [FaultKind.SlaveExceptions] = (True.Nothing, Measured.Nothing, false),
        [FaultKind.Garbage] = (True.Nothing, Measured.Nothing, false),
        [FaultKind.ClockStep] = (True.Nothing, Measured.Nothing, true), // a talking instrument's own time: TextFaceTests
    };

    public static TheoryData<FaultKind> Kinds => [.. Enum.GetValues<FaultKind>()];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Fault_touches_what_it_is_about_and_nothing_else(FaultKind kind)
    {
        PlannedFault[] faults = [.. kind == FaultKind.ClockStep ? [new(kind, 60, Amount: -30)] : FaultDraw.Faults(kind, new Randomness(11))];
        FleetRun run = Play(faults);
        (FleetRow With, FleetRow Without)[] rows = [.. run.Rows.Zip(s_clean.Value.Rows)];
        (True first, Measured wire, bool arrives) = s_signatures[kind];

        Assert.Equal(first, FirstOf(rows, run.Rows.Count - s_clean.Value.Rows.Count));
        Assert.Equal(arrives, run.Rows.All(r => r.Arrived));
        int[] changed = [.. Enumerable.Range(0, SimulatedChannels.Count).Where(i => rows.Any(r => !r.With.Measured.Values[i].Equals(r.Without.Measured.Values[i])))];
        switch (wire)
        {
            case Measured.Nothing:
                Assert.Empty(changed);
                break;
            case Measured.OneInput:
                Assert.Equal([faults[0].Channel], changed);
                break;
            case Measured.Gauge:
                Assert.Equal([SimulatedChannels.Pressure], changed);
                break;
            default:
                Assert.NotEmpty(changed);
                break;
        }
    }

    [Fact]
    public void Line_that_fails_loses_what_was_said_meanwhile_and_nothing_before_or_after()
    {
        foreach (FaultKind kind in s_signatures.Where(s => !s.Value.Arrives).Select(s => s.Key))
        {
            FleetRun run = Play([new PlannedFault(kind, 60, 12)]);
            double from = run.Events.Single(e => e.Name.StartsWith("fault began", StringComparison.Ordinal)).Seconds;
            FleetRow[] lost = [.. run.Rows.Where(r => !r.Arrived)];
            Assert.Equal(12, lost.Length * 0.2, 0.41);
            Assert.InRange(lost[0].Seconds - from, -0.21, 0.21);
            Assert.InRange(lost[^1].Seconds - from, 11.6, 12.21);
        }
    }

    [Fact]
    public void Stuck_radiant_element_heats_one_place_past_the_vapour_and_hardly_the_others()
    {
        const int Place = 2;
        TrueFigures stuck = TrueFigures.Of(Play([new PlannedFault(FaultKind.Overshoot, 187, 10, 242, Place), new PlannedFault(FaultKind.Overshoot, 197, 13, 84, Place)]));
        TrueFigures usual = TrueFigures.Of(s_clean.Value);
        Assert.InRange(stuck.PeakCelsius[Place], 245, 250);
        Assert.InRange(usual.PeakCelsius[Place], 226, 231);
        Assert.All(Enumerable.Range(0, SimulatedChannels.ProductCount).Where(i => i / 2 != Place / 2), i => Assert.Equal(usual.PeakCelsius[i], stuck.PeakCelsius[i], 0.5));
    }

    [Theory]
    [InlineData(MachineFamily.TankWithLift)]
    [InlineData(MachineFamily.InLine)]
    public void More_boards_deplete_standing_vapour_and_take_longer_to_liquidus(MachineFamily family)
    {
        (double one, double two, double four) = (Ramp(family, 1), Ramp(family, 2), Ramp(family, 4));
        Assert.True(two >= one && four > two + 1, $"to liquidus: {one} s with one board, {two} with two, {four} with four");
    }

    [Fact]
    public void Dosed_chamber_is_given_the_power_of_its_load_so_that_the_ramp_hardly_changes()
    {
        double four = Ramp(MachineFamily.ClosedChamber, 4);
        Assert.InRange(Ramp(MachineFamily.ClosedChamber, 1) / four, 0.85, 1.2);
        Assert.InRange(Ramp(MachineFamily.ClosedChamber, 2) / four, 0.9, 1.1);
    }

    /// <summary>From the entry into the vapour to the last place at liquidus, s: mean of a few runs, since no two of them are alike.</summary>
    private static double Ramp(MachineFamily family, int boards) => Enumerable.Range(1, 6).Average(seed =>
    {
        var scenario = new Scenario { Name = "load", Family = family, Boards = boards };
        FleetRun run = FleetRun.Play(new FleetMember(1, seed, scenario), TimeSpan.FromMilliseconds(200));
        var registers = new ushort[1];
        Assert.True(run.Rows[^1].Measured.TryRead(Simulator.Wire.RegisterTable.Input, Simulator.Wire.RegisterMap.FirstSignals + 3, registers));
        Assert.Equal(boards, registers[0]); // and it is counted on the wire
        return TrueFigures.Of(run).LiquidusRisingSeconds.Max()!.Value - run.Events.First(e => e.Name == "vapour").Seconds;
    });

    private static True FirstOf((FleetRow With, FleetRow Without)[] rows, int longer)
    {
        foreach ((FleetRow with, FleetRow without) in rows)
        {
            CellTruth a = with.Truth, b = without.Truth;
            if (a.Phase != b.Phase)
            {
                return True.Programme;
            }

            if (a.ChamberMbar != b.ChamberMbar)
            {
                return True.Chamber;
            }

            int places = Enumerable.Range(0, SimulatedChannels.ProductCount).Count(i => a.ProductCelsius[i] != b.ProductCelsius[i]);
            if (places > 0 || a.VapourCelsius != b.VapourCelsius)
            {
                // Heat given to one place is conducted on to its neighbour within the sample.
                int most = Enumerable.Range(0, SimulatedChannels.ProductCount).MaxBy(i => Math.Abs(a.ProductCelsius[i] - b.ProductCelsius[i]));
                double rest = Enumerable.Range(0, SimulatedChannels.ProductCount).Where(i => i != most).Max(i => Math.Abs(a.ProductCelsius[i] - b.ProductCelsius[i]));
                return Math.Abs(a.ProductCelsius[most] - b.ProductCelsius[most]) > 10 * rest ? True.OnePlace : True.Boards;
            }
        }

        return longer == 0 ? True.Nothing : True.Programme;
    }

    private static FleetRun Play(PlannedFault[] faults) => FleetRun.Play(
        new FleetMember(1, 42, new Scenario { Name = "test", Runs = [new RunStretch(1) { Faults = [.. faults] }] }), TimeSpan.FromMilliseconds(200));
}
