using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Simulator.Tests.Runs;

public class GoodRunTests
{
    private const double Liquidus = 220; // SAC305, reference/process/alloys.csv

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(77)]
    public void Good_runs_keep_the_usual_limits_of_the_trade(int seed)
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> all = Playback.Runs(new SimulatorOptions { Seed = seed }, 3);
        foreach (IGrouping<int, (CellTruth Truth, InstrumentFrame Frame)> run in all.GroupBy(s => s.Truth.RunNumber))
        {
            for (int place = 0; place < SimulatedChannels.ProductCount; place++)
            {
                Assert.InRange(run.SecondsAbove(place, Liquidus), 50, 75);
                Assert.InRange(run.Max(s => s.Truth.ProductCelsius[place]), 226, 231);
                double soak = First(run, s => s.Truth.ProductCelsius[place] >= 180) - First(run, s => s.Truth.ProductCelsius[place] >= 150);
                Assert.InRange(soak, 75, 100);
            }

            double evacuation = First(run, s => s.Truth.Phase == MachinePhase.Evacuation);
            double target = First(run, s => s.Truth.ChamberMbar <= 5);
            double vent = First(run, s => s.Truth.Phase == MachinePhase.Vent);
            double cooling = First(run, s => s.Truth.Phase == MachinePhase.Cooling);
            Assert.InRange(target - evacuation, 14, 16.5);
            Assert.InRange(vent - target, 14, 16);
            Assert.InRange(cooling - vent, 5.5, 6.8);
            Assert.All(run.Where(s => s.Truth.RunTime.TotalSeconds >= evacuation && s.Truth.RunTime.TotalSeconds <= cooling).SelectMany(s => s.Truth.ProductCelsius),
                celsius => Assert.True(celsius > Liquidus + 3, "molten from evacuation to vent"));
            Assert.InRange(run.Max(s => s.Truth.RunTime.TotalSeconds), 340, 400);
        }
    }

    [Fact]
    public void No_place_is_ever_hotter_than_the_vapour_while_only_vapour_heats_it()
    {
        foreach ((CellTruth truth, _) in Playback.Runs(new SimulatorOptions(), 2).Where(s => s.Truth.Phase == MachinePhase.Vapour))
        {
            // The boards come in at the soak temperature; from there on vapour is the only heat.
            double bound = Math.Max(truth.VapourCelsius, 168);
            Assert.All(truth.ProductCelsius, celsius => Assert.True(celsius <= bound));
        }
    }

    [Fact]
    public void Stuck_radiant_element_drives_one_place_past_the_boiling_point()
    {
        List<(CellTruth Truth, InstrumentFrame Frame)> all = Playback.Runs(new SimulatorOptions { Scenario = "overshoot", OvershootRun = 2 }, 3);
        var second = all.Where(s => s.Truth.RunNumber == 2).ToList();
        Assert.InRange(second.Max(s => s.Truth.ProductCelsius[2]), 245.5, 250);
        Assert.InRange(second.SecondsAbove(2, 245), 12, 25);
        Assert.All(all.Where(s => s.Truth.RunNumber != 2), s => Assert.True(s.Truth.ProductCelsius[2] < 231));
        Assert.All(all, s => Assert.True(s.Truth.ProductCelsius[0] < 231));
    }

    [Fact]
    public void Noise_free_instruments_say_the_truth()
    {
        foreach ((CellTruth truth, InstrumentFrame frame) in Playback.Runs(new SimulatorOptions { NoiseFree = true }, 1))
        {
            double emf = TypeK.MillivoltsAt(truth.ProductCelsius[5]) - TypeK.MillivoltsAt(truth.ColdJunctionCelsius);
            Assert.Equal((float)emf, frame.Millivolts(5));
            Assert.Equal((float)truth.ChamberMbar, frame.PressureMbar);
            Assert.Equal((float)truth.ColdJunctionCelsius, frame.ColdJunctionCelsius);
        }
    }

    [Fact]
    public void Noise_is_a_tenth_of_a_kelvin_and_centred()
    {
        var errors = Playback.Runs(new SimulatorOptions(), 2)
            .Where(s => s.Truth.RunTime.TotalSeconds is > 0 and < 3 || s.Truth.Phase == MachinePhase.Idle && s.Truth.RunTime.TotalSeconds > -25)
            .Select(s => (s.Frame.Millivolts(0) - TypeK.MillivoltsAt(s.Truth.ProductCelsius[0]) + TypeK.MillivoltsAt(s.Truth.ColdJunctionCelsius)) / 0.0405)
            .ToList();
        double mean = errors.Average();
        Assert.InRange(mean, -0.05, 0.05);
        Assert.InRange(Math.Sqrt(errors.Average(e => (e - mean) * (e - mean))), 0.06, 0.13);
    }

    private static double First(IEnumerable<(CellTruth Truth, InstrumentFrame Frame)> run, Func<(CellTruth Truth, InstrumentFrame Frame), bool> holds) =>
        run.First(holds).Truth.RunTime.TotalSeconds;
}
