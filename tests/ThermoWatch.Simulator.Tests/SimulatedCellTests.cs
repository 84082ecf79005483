using System.Diagnostics;
using System.Runtime.InteropServices;
using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Tests;

public class SimulatedCellTests
{
    [Fact]
    public void Result_does_not_depend_on_how_it_is_called() =>
        Gen.Int[1, 97_000].Array[1, 60].Sample(
            gaps =>
            {
                var stepwise = new SimulatedCell(new SimulatorOptions { Seed = 5 });
                TimeSpan at = TimeSpan.Zero;
                foreach (int gap in gaps)
                {
                    at += TimeSpan.FromMilliseconds(gap);
                    stepwise.AdvanceTo(at);
                }

                var atOnce = new SimulatedCell(new SimulatorOptions { Seed = 5 });
                atOnce.AdvanceTo(at);
                return Bytes(stepwise.Instruments).SequenceEqual(Bytes(atOnce.Instruments))
                    && stepwise.Instruments.SampledAt == atOnce.Instruments.SampledAt
                    && stepwise.Truth.ProductCelsius.SequenceEqual(atOnce.Truth.ProductCelsius);
            },
            iter: 20);

    [Fact]
    public void Same_seed_gives_the_same_bytes_and_another_seed_others()
    {
        byte[] Play(int seed)
        {
            var cell = new SimulatedCell(new SimulatorOptions { Seed = seed });
            List<byte> bytes = [];
            for (int i = 1; i <= 9000; i++)
            {
                cell.AdvanceTo(i * SimulatedCell.SamplePeriod);
                bytes.AddRange(Bytes(cell.Instruments));
            }

            return [.. bytes];
        }

        Assert.Equal(Play(3), Play(3));
        Assert.NotEqual(Play(3), Play(4));
    }

    [Fact]
    public void Runs_of_one_seed_differ_a_little()
    {
        var cell = new SimulatedCell(new SimulatorOptions { NoiseFree = true });
        Dictionary<int, double> hottest = [];
        for (int i = 1; hottest.Count < 4; i++)
        {
            cell.AdvanceTo(i * SimulatedCell.SamplePeriod);
            CellTruth truth = cell.Truth;
            hottest[truth.RunNumber] = Math.Max(hottest.GetValueOrDefault(truth.RunNumber), truth.ProductCelsius[5]);
        }

        Assert.Equal(4, hottest.Values.Distinct().Count());
        Assert.InRange(hottest.Values.Take(3).Max() - hottest.Values.Take(3).Min(), 0.001, 1.5);
    }

    [Fact]
    public void Time_never_goes_back()
    {
        var cell = new SimulatedCell(new SimulatorOptions());
        cell.AdvanceTo(TimeSpan.FromSeconds(10));
        Assert.Throws<ArgumentOutOfRangeException>(() => cell.AdvanceTo(TimeSpan.FromSeconds(9)));
    }

    [Fact]
    public void Unknown_scenario_is_refused_with_the_names_that_exist() =>
        Assert.Contains("normal", Assert.Throws<ArgumentException>(() => new SimulatedCell(new SimulatorOptions { Scenario = "nope" })).Message, StringComparison.Ordinal);

    [Fact]
    public void Fault_on_demand_begins_now_ends_in_time_and_is_gone_with_the_run()
    {
        var cell = new SimulatedCell(new SimulatorOptions());
        cell.AdvanceTo(TimeSpan.FromSeconds(100));
        cell.Inject(FaultKind.OpenCircuit, TimeSpan.FromSeconds(5), channel: 4);
        cell.Inject(FaultKind.GaugeDead, TimeSpan.FromHours(9));
        Assert.True(float.IsFinite(cell.Instruments.Millivolts(4)));
        cell.AdvanceTo(TimeSpan.FromSeconds(103));
        Assert.True(float.IsNaN(cell.Instruments.Millivolts(4)) && float.IsNaN(cell.Instruments.PressureMbar));
        cell.AdvanceTo(TimeSpan.FromSeconds(106));
        Assert.True(float.IsFinite(cell.Instruments.Millivolts(4)) && float.IsNaN(cell.Instruments.PressureMbar));
        cell.AdvanceTo(TimeSpan.FromSeconds(600));
        Assert.Equal(2, cell.Run.Number);
        Assert.True(float.IsFinite(cell.Instruments.PressureMbar));
        Assert.Throws<ArgumentOutOfRangeException>(() => cell.Inject(FaultKind.Leak, TimeSpan.MaxValue, 10, channel: 2));
        Assert.Throws<ArgumentOutOfRangeException>(() => cell.Inject(FaultKind.Stuck, TimeSpan.MaxValue));
    }

    [Fact]
    public void Period_between_runs_is_kept()
    {
        var cell = new SimulatedCell(new SimulatorOptions { RunEvery = TimeSpan.FromMinutes(10) });
        List<TimeSpan> starts = [];
        MachinePhase before = MachinePhase.Idle;
        for (int i = 1; starts.Count < 3; i++)
        {
            cell.AdvanceTo(i * SimulatedCell.SamplePeriod);
            MachinePhase now = cell.Truth.Phase;
            if (now == MachinePhase.Soak && before == MachinePhase.Idle)
            {
                starts.Add(cell.MachineTime);
            }

            before = now;
        }

        Assert.Equal(600, (starts[1] - starts[0]).TotalSeconds, 0.3);
        Assert.Equal(600, (starts[2] - starts[1]).TotalSeconds, 0.3);
    }

    [Fact]
    public void Two_and_a_half_hours_at_ten_hertz_take_less_than_a_second()
    {
        // The quickest of 10 s stretches of each phase of a run counts for all of them: other work on the computer is not what is measured.
        var cell = new SimulatedCell(new SimulatorOptions());
        Dictionary<MachinePhase, (int Count, double Quickest)> phases = [];
        for (int stretch = 0; stretch < 900; stretch++)
        {
            long began = Stopwatch.GetTimestamp();
            for (int i = 1; i <= 100; i++)
            {
                cell.AdvanceTo(((stretch * 100) + i) * SimulatedCell.SamplePeriod);
            }

            double took = Stopwatch.GetElapsedTime(began).TotalSeconds;
            MachinePhase phase = cell.Truth.Phase;
            (int count, double quickest) = phases.GetValueOrDefault(phase, (0, double.MaxValue));
            phases[phase] = (count + 1, Math.Min(quickest, took));
        }

        double all = phases.Values.Sum(p => p.Count * p.Quickest);
        Assert.True(all < 1, $"took {all:0.00} s");
    }

    [Fact]
    public void Live_cell_follows_the_clock_and_misses_no_sample()
    {
        var time = new FakeTimeProvider();
        var cell = new SimulatedCell(new SimulatorOptions());
        cell.AdvanceTo(TimeSpan.FromSeconds(100));
        var live = new LiveCell(cell, time, speed: 4);
        List<TimeSpan> samples = [];
        live.Sampled = c => samples.Add(c.Instruments.SampledAt);
        time.Advance(TimeSpan.FromMilliseconds(20));
        live.Look(static c => c.MachineTime);
        time.Advance(TimeSpan.FromMilliseconds(980));
        Assert.Equal(TimeSpan.FromSeconds(104), live.Look(static c => c.MachineTime));
        Assert.Equal(Enumerable.Range(1001, 40).Select(i => i * SimulatedCell.SamplePeriod), samples);
        Assert.Equal(live.StartedUtc + TimeSpan.FromSeconds(1), live.UtcAt(TimeSpan.FromSeconds(104)));
    }

    private static byte[] Bytes(InstrumentFrame frame) => MemoryMarshal.AsBytes(frame.Values).ToArray();
}
