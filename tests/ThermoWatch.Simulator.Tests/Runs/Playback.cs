using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Tests.Runs;

/// <summary>A cell played through, sample by sample.</summary>
internal static class Playback
{
    /// <summary>Truth and frame of every sample of the first runs.</summary>
    public static List<(CellTruth Truth, InstrumentFrame Frame)> Runs(SimulatorOptions options, int runs) => Runs(new SimulatedCell(options), runs);

    /// <summary>The same of a scenario of one's own.</summary>
    public static List<(CellTruth Truth, InstrumentFrame Frame)> Runs(SimulatorOptions options, Scenario scenario, int runs) =>
        Runs(new SimulatedCell(options, scenario), runs);

    private static List<(CellTruth Truth, InstrumentFrame Frame)> Runs(SimulatedCell cell, int runs)
    {
        List<(CellTruth, InstrumentFrame)> samples = [];
        for (TimeSpan at = SimulatedCell.SamplePeriod; ; at += SimulatedCell.SamplePeriod)
        {
            cell.AdvanceTo(at);
            CellTruth truth = cell.Truth;
            if (truth.RunNumber > runs || at > TimeSpan.FromHours(1))
            {
                return samples;
            }

            samples.Add((truth, cell.Instruments));
        }
    }

    /// <summary>Seconds that a place spends at or above a level.</summary>
    public static double SecondsAbove(this IEnumerable<(CellTruth Truth, InstrumentFrame Frame)> samples, int place, double level) =>
        samples.Count(s => s.Truth.ProductCelsius[place] >= level) * SimulatedCell.SamplePeriod.TotalSeconds;
}
