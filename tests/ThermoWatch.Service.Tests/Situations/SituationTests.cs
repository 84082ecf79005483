using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Machines;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>Days that a floor knows, measured by the simulated instruments and judged; what was true is in the simulator.</summary>
public sealed class SituationTests
{
    private static double Seconds(RecordedRun judged, string phase) => judged.Run.Phases.First(p => p.Name == phase).Start.SecondsSince(judged.Origin);

    [Fact]
    public void Stepped_evacuation_is_one_void_step_from_its_valve_to_its_target()
    {
        Played played = Played.Scenario("stepped-vacuum");
        RecordedRun judged = played.JudgeMeasured(Played.Sac305(new Limit { Figure = "moltenAtEvacuation", Lower = 2 }));
        double atTarget = played.Run.Rows.First(r => r.Seconds > played.At("evacuation") && r.Truth.ChamberMbar <= 5).Seconds;

        // The shallow one at 140 degC is no void step: told, and not counted; no alarm comes of it.
        Assert.Contains("shallowEvacuation", judged.Run.Notes);
        Assert.Equal(1, Played.Figure(judged, "evacuations").Value);
        Assert.DoesNotContain("unexpectedVacuum", judged.Run.Reasons);
        Assert.DoesNotContain(judged.Events, e => e is AlarmEvent);
        Assert.Equal(Verdict.Pass, Played.Figure(judged, "moltenAtEvacuation").Verdict);
        Assert.Equal(played.At("evacuation"), Seconds(judged, "evacuate"), 0.7);

        // The wait at 100 mbar is part of the time to the target.
        Assert.Equal(atTarget - played.At("evacuation"), Played.Figure(judged, "pumpDownTime").Value!.Value, 0.5);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)] // the gauge reads 3 % high
    public void Overshooting_vent_and_drifting_gauge_leave_the_edges_at_the_valve(int run)
    {
        Played played = Played.Scenario("overshooting-vent", run);
        RecordedRun judged = played.JudgeMeasured(Played.Sac305());
        PhaseSpan evacuate = judged.Run.Phases.Single(p => p.Name == "evacuate"), vent = judged.Run.Phases.Single(p => p.Name == "vent");

        Assert.Equal(played.At("evacuation"), evacuate.Start.SecondsSince(judged.Origin), 0.5);
        double back = played.Run.Rows.First(r => r.Seconds > played.At("vent") && r.Truth.ChamberMbar >= 0.95 * 990).Seconds;
        Assert.Equal(back, vent.End!.Value.SecondsSince(judged.Origin), 0.5);
        Assert.Equal(1, Played.Figure(judged, "evacuations").Value);
        Assert.True(played.Run.Rows.Max(r => r.Truth.ChamberMbar) > 1070);
    }

    [Fact]
    public void Recipe_without_vacuum_and_the_reverse_are_no_pass()
    {
        RecordedRun without = Played.Scenario("recipe-without-vacuum", 3).JudgeMeasured(Played.Sac305(new Limit { Figure = "vacuumHold", Lower = 10 }));
        Assert.Contains("unexpectedVacuum", without.Run.Reasons);
        Assert.Equal((Verdict.Fail, "neverReached"), (Played.Figure(without, "vacuumHold").Verdict!.Value, Played.Figure(without, "vacuumHold").Reason));

        RecordedRun reverse = Played.Scenario("normal").JudgeMeasured(Played.Sac305(new Limit { Figure = "peakTemperature", Upper = 240 }) with { Vacuum = null });
        Assert.Equal(["unexpectedVacuum"], reverse.Run.Reasons);
        Assert.Equal(Verdict.Undetermined, reverse.Run.Verdict);
    }

    [Theory]
    [InlineData(60, Verdict.Fail)] // broken by the least that it can have been
    [InlineData(90, Verdict.Undetermined)]
    [InlineData(120, Verdict.Pass)] // met by the most that it can have been
    public void Power_dip_is_judged_by_the_bounds_of_what_the_gap_can_hide(double upper, Verdict verdict)
    {
        Played played = Played.Scenario("power-dip", 2);
        RecordedRun judged = played.JudgeMeasured(Played.Sac305(new Limit { Figure = "timeAboveLiquidus", Upper = upper }));
        TrueFigures truth = TrueFigures.Of(played.Run);

        Assert.True(played.Run.Rows.Count(r => !r.Arrived) * 0.2 > 35);
        Assert.Equal(verdict, judged.Run.Verdict);
        for (int place = 0; place < SimulatedChannels.ProductCount; place++)
        {
            FigureResult above = Played.Figure(judged, "timeAboveLiquidus", Played.Product(place));
            Assert.Equal((null, "gap", verdict), (above.Value, above.Reason, above.Verdict!.Value));

            // The truth lies within the bounds, but for what the sensor's own error does to its crossings.
            Assert.InRange(truth.SecondsAboveLiquidus[place], above.Low!.Value - 2, above.High!.Value + 2);
        }
    }

    /// <remarks>
    /// By the definitions a gap of 40 s between two readings of 230 °C shows no more than 2 s above 220 °C: as fast as a joint can
    /// change, it could have been solid in between. So 40 unseen seconds make no "at least 96 s" of a run that was above for 105 s
    /// (the situation above); what makes it is a machine that stands for so long that 94 s of it were seen.
    /// </remarks>
    [Fact]
    public void Machine_that_stands_with_boards_in_vapour_fails_on_what_was_seen_of_it_beside_the_gap()
    {
        Played played = Played.Scenario("power-dip", 2, change: s => s with
        {
            Runs = [.. s.Runs.Select(r => r with { Faults = [.. r.Faults.Select(f => f.Kind == FaultKind.ProgrammeStopped ? f with { ForSeconds = 95 } : f)] })],
        });
        RecordedRun judged = played.JudgeMeasured(Played.Sac305(new Limit { Figure = "timeAboveLiquidus", Upper = 90 }));
        TrueFigures truth = TrueFigures.Of(played.Run);

        Assert.Equal(Verdict.Fail, judged.Run.Verdict);
        for (int place = 0; place < SimulatedChannels.ProductCount; place++)
        {
            FigureResult above = Played.Figure(judged, "timeAboveLiquidus", Played.Product(place));
            Assert.Equal((null, "gap", Verdict.Fail), (above.Value, above.Reason, above.Verdict!.Value));
            Assert.InRange(above.Low!.Value, 96, truth.SecondsAboveLiquidus[place] - 30);
        }
    }

    [Theory]
    [InlineData(FaultKind.Detached)] // the tape of the sixth place lifts at 3:10, and it reads low but smooth from there on
    [InlineData(FaultKind.OpenCircuit)] // its wire breaks in that moment
    public void Sensor_that_is_lost_leaves_the_run_undetermined_and_the_others_judged(FaultKind how)
    {
        Played played = Played.Scenario("lifting-tape", 2, change: s => s with
        {
            Runs = [.. s.Runs.Select(r => r with { Faults = [.. r.Faults.Select(f => f with { Kind = how })] })],
        });
        RecordedRun judged = played.JudgeMeasured(Played.Sac305(
            new Limit { Figure = "peakTemperature", Upper = 235 }, new Limit { Figure = "timeAboveLiquidus", Lower = 35, Upper = 90 }, new Limit { Figure = "peakSpread", Upper = 8 }));
        TrueFigures truth = TrueFigures.Of(played.Run);

        Assert.Equal(Verdict.Undetermined, judged.Run.Verdict);
        Assert.All(judged.Run.Reasons, reason => Assert.Contains("/tc6:", reason, StringComparison.Ordinal));
        for (int place = 0; place < SimulatedChannels.ProductCount; place++)
        {
            FigureResult above = Played.Figure(judged, "timeAboveLiquidus", Played.Product(place));
            Assert.Equal(place == 5 ? Verdict.Undetermined : Verdict.Pass, above.Verdict);
            if (place != 5)
            {
                Assert.Equal(truth.SecondsAboveLiquidus[place], above.Value!.Value, 4.0);
            }
        }

        // It is unknown from its last sure second on.
        GapSpan unknown = Assert.Single(judged.Run.Gaps);
        Assert.Equal(("tc6", null), (unknown.ChannelId, unknown.End));
        double lifted = played.Run.Rows.First(r => r.Truth.RunTime.TotalSeconds >= 190).Seconds;
        Assert.Equal(lifted, unknown.Start.SecondsSince(judged.Origin), 1.0);

        // What compares places says which one is missing; events of it that had happened still count.
        FigureResult spread = Played.Figure(judged, "peakSpread");
        Assert.Equal((Verdict.Pass, "channelLost:tc6"), (spread.Verdict!.Value, spread.Notes[0]));
        double[] others = [.. truth.PeakCelsius.Where((_, place) => place != 5)];
        Assert.Equal(others.Max() - others.Min(), spread.Value!.Value, 2.0);
    }

    [Fact]
    public void Calibration_that_comes_later_shows_which_runs_change_their_verdict()
    {
        const double Needed = 40;
        Spec spec = Played.Sac305(new Limit { Figure = "timeAboveLiquidus", Lower = Needed, Channels = ["tc7"] });

        // The check of sensor seven: 3.1 K high at 230 °C, right at the room's temperature, where both ends are alike.
        var found = new Dictionary<string, Calibration> { ["tc7"] = new([new(25, 25), new(233.1, 230)]) { Version = 1, ValidFrom = default, Certificate = "C-7" } };
        List<int> changed = [];
        for (int run = 1; run <= 8; run++)
        {
            Played played = Played.Scenario("sensor-seven-drifted", run, seed: 100 + run);
            RecordedRun asRecorded = played.JudgeMeasured(spec), corrected = played.JudgeMeasured(spec, found);
            double truly = TrueFigures.Of(played.Run).SecondsAboveLiquidus[6];

            Assert.Equal(Verdict.Pass, asRecorded.Run.Verdict);
            Assert.Equal(truly >= Needed ? Verdict.Pass : Verdict.Fail, corrected.Run.Verdict);
            Assert.Equal(truly, Played.Figure(corrected, "timeAboveLiquidus", "tc7").Value!.Value, 3.0);

            // Nothing else of the run has moved.
            Assert.Equal(
                asRecorded.Run.Figures.Where(f => f.ChannelId is not null and not "tc7").Select(f => (f.Figure, f.ChannelId, f.Value)),
                corrected.Run.Figures.Where(f => f.ChannelId is not null and not "tc7").Select(f => (f.Figure, f.ChannelId, f.Value)));
            changed.AddRange(corrected.Run.Verdict == asRecorded.Run.Verdict ? [] : [run]);
        }

        Assert.Equal([5, 6, 7], changed);
    }

    [Fact]
    public void Weather_is_taken_off_the_plateau_and_the_fluid_is_left()
    {
        FleetRow Plateau(Played played) => played.Run.Rows.Where(r => r.Truth.Phase == MachinePhase.Vapour).MaxBy(r => r.Truth.VapourCelsius)!;
        double Residual(FleetRow row) => row.Truth.VapourCelsius - BoilingPoint.At(new Fluid("230", 230, 1013.25), row.Truth.ChamberMbar).Celsius;
        FleetRow usual = Plateau(Played.Scenario("low-barometer", 1)), low = Plateau(Played.Scenario("low-barometer", 3));

        Assert.Equal(3, usual.Truth.VapourCelsius - low.Truth.VapourCelsius, 0.3);
        Assert.Equal(1, Residual(usual) - Residual(low), 0.3); // the fluid has aged by 1 K; two were the weather
    }

    [Fact]
    public void Second_side_melts_and_the_first_side_stays_solid()
    {
        Played played = Played.Scenario("tin-bismuth-second-side");
        Spec spec = new()
        {
            Name = "Control board CB-1, second side",
            Version = 1,
            Alloy = new Alloy("Sn42Bi58", 138, 138),
            ChannelAlloys = System.Collections.Immutable.ImmutableDictionary<string, Alloy>.Empty.Add("tc2", new Alloy("SAC305", 217, 220)),
            Limits =
            [
                new Limit { Figure = "timeAboveLiquidus", Lower = 20, Upper = 90, Channels = ["tc1", "tc3"] },
                new Limit { Figure = "peakTemperature", Upper = 217, Channels = ["tc2"], Document = "first side" },
            ],
        };
        RecordedRun judged = played.JudgeMeasured(spec);

        Assert.Equal((Verdict.Pass, 0), (judged.Run.Verdict!.Value, judged.Run.Reasons.Length));
        Assert.Equal((0, "neverReached"), (Played.Figure(judged, "timeAboveLiquidus", "tc2").Value!.Value, Played.Figure(judged, "slopeAtLiquidus", "tc2").Reason));
        Assert.True(Played.Figure(judged, "peakTemperature", "tc2").Value < 217);

        // Reflow begins where the first joint of its own alloy melts, and no soak is made up between 150 and 180 degC.
        double first = played.Run.Rows.First(r => r.Truth.ProductCelsius.Where((_, i) => i != 1).Max() >= 138).Seconds;
        Assert.Equal(first, Seconds(judged, "reflow"), 3.0);
        Assert.Equal((null, null), (Played.Figure(judged, "soakTime", "tc1").Value, Played.Figure(judged, "soakTime", "tc1").Verdict));
    }

    [Theory]
    [InlineData(MachineFamily.ClosedChamber)]
    [InlineData(MachineFamily.TankWithLift)]
    [InlineData(MachineFamily.InLine)]
    public void Good_runs_pass_without_a_word(MachineFamily family)
    {
        Spec spec = Played.Sac305(
            new Limit { Figure = "peakTemperature", Upper = 235 },
            new Limit { Figure = "sustainedPeak", Lower = 223 },
            new Limit { Figure = "timeAboveLiquidus", Lower = 35, Upper = 90 },
            new Limit { Figure = "pumpDownTime", Upper = 20 },
            new Limit { Figure = "moltenVacuum", Lower = 8 },
            new Limit { Figure = "moltenAtVentEnd", Lower = 0 });
        for (int seed = 1; seed <= 8; seed++)
        {
            var scenario = new Scenario { Name = "good", Family = family, Boards = seed % 3 == 0 ? 2 : 4 };
            RecordedRun judged = Played.Of(scenario, seed).JudgeMeasured(spec);
            Assert.Equal((Verdict.Pass, ""), (judged.Run.Verdict!.Value, string.Join(' ', judged.Run.Reasons)));
            Assert.DoesNotContain(judged.Events, e => e is AlarmEvent);
        }
    }
}
