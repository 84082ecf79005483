using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator.Tests.Faults;

/// <summary>Each fault against the same run without it: the same seed, so that the fault alone makes the difference.</summary>
public class FaultTests
{
    private const int Channel = 3;
    private static readonly Lazy<FleetRun> CleanRun = new(() => Play());

    [Theory]
    [MemberData(nameof(Drawn))]
    public void Every_kind_of_fault_can_be_seen_on_the_wire_and_only_while_it_acts(FaultKind kind)
    {
        var faults = FaultDraw.Faults(kind, new Randomness(4)).ToArray();
        FleetRun faulty = Play(faults);
        double heating = faulty.Events.Single(e => e.Name == "soak").Seconds;
        int differs = Enumerable.Range(0, Math.Min(faulty.Rows.Count, CleanRun.Value.Rows.Count)).First(i => !Same(faulty.Rows[i], CleanRun.Value.Rows[i]));
        Assert.True(faulty.Rows[differs].Seconds >= heating + faults[0].AtSeconds - 0.3, $"seen at {faulty.Rows[differs].Seconds}");
    }

    public static TheoryData<FaultKind> Drawn => [.. FaultDraw.Kinds];

    [Fact]
    public void Broken_wire_reads_open_for_as_long_as_it_is_broken()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.OpenCircuit, 60, 10, Channel: Channel));
        double open = run.Rows.Count(r => float.IsNaN(r.Measured.Millivolts(Channel))) * 0.2;
        Assert.Equal(10, open, 0.3);
        Assert.DoesNotContain(run.Rows, r => float.IsNaN(r.Measured.Millivolts(Channel + 1)));
    }

    [Fact]
    public void Drifting_open_input_walks_away_at_its_rate()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.OpenDrifting, 100, Amount: 0.05, Channel: Channel));
        Assert.Equal(0.05 * 20, At(run, 120) - At(CleanRun.Value, 120), 0.02);
    }

    [Fact]
    public void Reversed_wires_mirror_the_reading_about_the_cold_junction()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.Reversed, Channel: Channel));
        Assert.Equal(-At(CleanRun.Value, 150), At(run, 150), 0.03);
    }

    [Fact]
    public void Shorted_wires_read_the_cold_junction()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.Shorted, 100, Channel: Channel));
        Assert.All(run.Rows.Where(r => r.Truth.RunTime.TotalSeconds > 101), r => Assert.InRange(r.Measured.Millivolts(Channel), -0.03f, 0.03f));
    }

    [Fact]
    public void Detached_bead_reads_low_and_smooth_in_vapour()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.Detached, 190, Amount: 0.45, Channel: Channel));
        Assert.InRange((At(CleanRun.Value, 210) - At(run, 210)) / 0.0408, 7, 13);
    }

    [Fact]
    public void Wrong_type_reads_a_wrong_plateau()
    {
        double Table(string type) => Reference.Rows($"thermocouple/type_{type}_table.csv")
            .Where(r => r[0] is "229" or "26").Aggregate(0.0, (sum, r) => sum + ((r[0] == "229" ? 1 : -1) * Reference.Number(r[1])));
        FleetRun run = Play(new PlannedFault(FaultKind.WrongType, Channel: Channel));
        Assert.Equal(Table("j") / Table("k"), At(run, 210) / At(CleanRun.Value, 210), 0.003);
    }

    [Fact]
    public void Gradient_at_the_terminals_shifts_all_readings_alike()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.ColdJunctionGradient, Amount: 3, Channel: Channel));
        Assert.Equal(-3 * 0.0403, At(run, 2) - At(CleanRun.Value, 2), 0.012);
        Assert.Equal(-3 * 0.0403, At(run, 210) - At(CleanRun.Value, 210), 0.012);
    }

    [Fact]
    public void Drifted_wire_is_right_when_cold_and_wrong_when_hot()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.SensorDrift, Amount: 3.1, Channel: Channel));
        Assert.Equal(0, At(run, 2) - At(CleanRun.Value, 2), 0.012);
        Assert.Equal(3.1 * 0.0408, At(run, 210) - At(CleanRun.Value, 210), 0.015);
    }

    [Fact]
    public void Mains_pickup_adds_noise_and_no_offset()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.MainsPickup, 100, 60, 150, Channel));
        double[] extra = [.. run.Rows.Zip(CleanRun.Value.Rows).Where(p => p.First.Truth.RunTime.TotalSeconds is > 105 and < 147.8)
            .Select(p => (double)(p.First.Measured.Millivolts(Channel) - p.Second.Measured.Millivolts(Channel)))];
        Assert.InRange(extra.Average(), -0.02, 0.02);
        Assert.InRange(Math.Sqrt(extra.Average(e => e * e)), 0.05, 0.2);
    }

    [Fact]
    public void Stuck_input_repeats_its_last_value()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.Stuck, 100, Channel: Channel));
        Assert.Single(run.Rows.Where(r => r.Truth.RunTime.TotalSeconds > 101).Select(r => r.Measured.Millivolts(Channel)).Distinct());
    }

    [Fact]
    public void Slow_pump_and_leak_delay_the_target_and_a_leak_lifts_the_base()
    {
        double usual = TrueFigures.Of(CleanRun.Value).PumpDownSeconds!.Value, usualBase = TrueFigures.Of(CleanRun.Value).LowestMbar;
        TrueFigures slow = TrueFigures.Of(Play(new PlannedFault(FaultKind.SlowPump, Amount: 0.7)));
        TrueFigures leaky = TrueFigures.Of(Play(new PlannedFault(FaultKind.Leak, Amount: 68)));
        Assert.True(slow.PumpDownSeconds > usual + 2);
        Assert.Equal(2 * usualBase, leaky.LowestMbar, 0.2); // twice the gas load at the same speed: pb = q/S
        Assert.True(leaky.PumpDownSeconds > usual + 1);
    }

    [Fact]
    public void Outgassing_lifts_the_pressure_and_dies_away()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.VirtualLeak, 215, Amount: 300));
        double early = Row(run, 232).Truth.ChamberMbar - Row(CleanRun.Value, 232).Truth.ChamberMbar;
        double late = Row(run, 243).Truth.ChamberMbar - Row(CleanRun.Value, 243).Truth.ChamberMbar;
        Assert.Equal(Math.Exp(11.0 / 25), early / late, 0.2); // its own time constant: 25 s
        Assert.True(late > 2);
    }

    [Fact]
    public void Stuck_vent_leaves_the_solder_freezing_under_vacuum_or_nearer_to_it()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.StuckVent, Amount: 0.2));
        Assert.InRange(Length(run, "vent", "cooling"), 4.5 * Length(CleanRun.Value, "vent", "cooling"), 5.5 * Length(CleanRun.Value, "vent", "cooling"));
        Assert.True(TrueFigures.Of(run).MoltenAtVentEndKelvin < TrueFigures.Of(CleanRun.Value).MoltenAtVentEndKelvin - 1);
    }

    [Fact]
    public void Weak_vapour_makes_the_ramp_longer() =>
        Assert.True(Length(Play(new PlannedFault(FaultKind.WeakVapour, Amount: 0.6)), "vapour", "evacuation") > Length(CleanRun.Value, "vapour", "evacuation") + 10);

    [Theory]
    [InlineData(FaultKind.LateEvacuation, "vapour", "evacuation")]
    [InlineData(FaultKind.LongHold, "hold", "vent")]
    public void Late_steps_are_late_by_the_amount(FaultKind kind, string from, string to) =>
        Assert.Equal(12, Length(Play(new PlannedFault(kind, Amount: 12)), from, to) - Length(CleanRun.Value, from, to), 0.3);

    [Fact]
    public void Cold_walls_freeze_the_boards_under_vacuum() =>
        Assert.True(TrueFigures.Of(Play(new PlannedFault(FaultKind.EarlyFreezing, Amount: 12))).MoltenAtVentEndKelvin < 0);

    [Fact]
    public void Cold_clamp_keeps_one_place_below_the_vapour_and_leaves_the_others()
    {
        TrueFigures clamped = TrueFigures.Of(Play(new PlannedFault(FaultKind.ColdSpot, Amount: 60, Channel: Channel))), usual = TrueFigures.Of(CleanRun.Value);

        // 130 J/K at 8.6 s in vapour is 15 W/K: 60 W hold it 4 K below.
        Assert.Equal(4, usual.PeakCelsius[Channel] - clamped.PeakCelsius[Channel], 0.5);
        Assert.Equal(usual.PeakCelsius[Channel + 2], clamped.PeakCelsius[Channel + 2], 0.1);
    }

    [Fact]
    public void Weak_fans_cool_slowly() =>
        Assert.True(Length(Play(new PlannedFault(FaultKind.SlowCooling, Amount: 0.5)), "cooling", "unloaded") > 1.7 * Length(CleanRun.Value, "cooling", "unloaded"));

    [Fact]
    public void Stopped_programme_leaves_the_boards_hot()
    {
        FleetRun run = Play(new PlannedFault(FaultKind.ProgrammeStopped, 205, 45));
        Assert.True(TrueFigures.Of(run).SecondsAboveLiquidus.Min() > TrueFigures.Of(CleanRun.Value).SecondsAboveLiquidus.Min() + 40);
    }

    [Fact]
    public void Gauge_faults_are_no_value_less_than_nothing_and_a_share()
    {
        Assert.True(float.IsNaN(Row(Play(new PlannedFault(FaultKind.GaugeDead, 100)), 120).Measured.PressureMbar));
        Assert.True(Row(Play(new PlannedFault(FaultKind.GaugeBelowZero, 100)), 120).Measured.PressureMbar < -100);
        FleetRun drifted = Play(new PlannedFault(FaultKind.GaugeDrift, Amount: 0.03));
        Assert.Equal(1.03, Row(drifted, 120).Measured.PressureMbar / Row(CleanRun.Value, 120).Measured.PressureMbar, 0.001);
    }

    [Theory]
    [InlineData(FaultKind.LineCut, LineState.Cut)]
    [InlineData(FaultKind.SlaveSilent, LineState.Silent)]
    [InlineData(FaultKind.SlaveExceptions, LineState.Refusing)]
    [InlineData(FaultKind.Garbage, LineState.Garbled)]
    public void Line_faults_begin_and_end_with_the_run_time(FaultKind kind, LineState state)
    {
        var cell = new SimulatedCell(new SimulatorOptions(), Scenario(new PlannedFault(kind, 20, 10)));
        cell.AdvanceTo(TimeSpan.FromSeconds(10 + 19.5)); // the boards of the first run wait 10 s
        Assert.Equal(LineState.Healthy, CellRegisters.StateOf(cell.Plant));
        cell.AdvanceTo(TimeSpan.FromSeconds(10 + 25));
        Assert.Equal(state, CellRegisters.StateOf(cell.Plant));
        cell.AdvanceTo(TimeSpan.FromSeconds(10 + 30.5));
        Assert.Equal(LineState.Healthy, CellRegisters.StateOf(cell.Plant));
    }

    private static Scenario Scenario(params PlannedFault[] faults) => new() { Name = "test", Runs = [new RunStretch(1) { Faults = [.. faults] }] };

    private static FleetRun Play(params PlannedFault[] faults) =>
        FleetRun.Play(new FleetMember(1, 42, Scenario(faults)), TimeSpan.FromMilliseconds(200));

    private static FleetRow Row(FleetRun run, double runSeconds) => run.Rows.First(r => r.Truth.RunTime.TotalSeconds >= runSeconds);

    // EMF averaged over a second, so that noise of 0.0035 mV does not decide.
    private static double At(FleetRun run, double runSeconds) =>
        run.Rows.Where(r => Math.Abs(r.Truth.RunTime.TotalSeconds - runSeconds) < 0.5).Average(r => (double)r.Measured.Millivolts(Channel));

    private static double Length(FleetRun run, string from, string to) =>
        run.Events.First(e => e.Name == to).Seconds - run.Events.First(e => e.Name == from).Seconds;

    private static bool Same(FleetRow a, FleetRow b) =>
        a.Arrived == b.Arrived && a.Measured.Values.SequenceEqual(b.Measured.Values);
}
