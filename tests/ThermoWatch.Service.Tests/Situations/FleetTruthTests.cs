using System.Globalization;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Simulator.Fleet;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>
/// True curves of whole fleets, sound and faulty, judged and held against the figures that the simulator counts for itself, sample by
/// sample and without our code. Larger fleets: THERMOWATCH_FLEET=2000.
/// </summary>
public sealed class FleetTruthTests
{
    private const double Period = 0.2;

    private static readonly int s_runs =
        int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_FLEET"), CultureInfo.InvariantCulture, out int runs) ? runs : 60;

    [Fact]
    public void Figures_of_true_curves_are_those_that_the_simulator_counts()
    {
        var options = new FleetOptions { Runs = s_runs, Seed = 11, ProductionShare = 0 };
        var wrong = new List<string>[s_runs];
        int evacuated = 0, molten = 0;
        Parallel.For(0, s_runs, i =>
        {
            Played played = Played.Member(options, i + 1);
            TrueFigures truth = TrueFigures.Of(played.Run);
            double target = played.Run.Member.Scenario.Recipe.Vacuum[^1].TargetMbar;
            RecordedRun judged = played.JudgeTruth(Played.Sac305() with { Vacuum = new VacuumSpec(target, []) });
            wrong[i] = [.. Differences(played, truth, judged).Where(d => d.Length > 0).Select(d => $"run {i + 1} ({string.Join(' ', played.Run.Label.Faults.Select(f => f.Kind))}): {d}")];
            Interlocked.Add(ref evacuated, truth.PumpDownSeconds is null ? 0 : 1);
            Interlocked.Add(ref molten, truth.MoltenVacuumSeconds > 0 ? 1 : 0);
        });

        string[] all = [.. wrong.SelectMany(w => w)];
        Assert.True(all.Length == 0, string.Join('\n', all));
        Assert.True(evacuated > s_runs / 2 && molten > s_runs / 2, $"{evacuated} {molten}");
    }

    /// <summary>The coldest place less the liquidus at the first sample at which the chamber is back at 0.95 of the room's pressure.</summary>
    private static double? AtVentEnd(Played played)
    {
        double room = played.Run.Rows[0].Truth.ChamberMbar;
        FleetRow? end = played.Run.Rows.SkipWhile(r => r.Truth.ChamberMbar > room / 4).FirstOrDefault(r => r.Truth.ChamberMbar >= 0.95 * room);
        return end?.Truth.ProductCelsius.Min() - TrueFigures.LiquidusCelsius;
    }

    private static IEnumerable<string> Differences(Played played, TrueFigures truth, RecordedRun judged)
    {
        for (int place = 0; place < truth.PeakCelsius.Count; place++)
        {
            string channel = Played.Product(place);
            yield return Compare("peakTemperature", channel, truth.PeakCelsius[place], 1e-9);

            // Counting samples errs by a period at each end of an excursion.
            yield return Compare("timeAboveLiquidus", channel, truth.SecondsAboveLiquidus[place], 2 * Period);
        }

        yield return Compare("lowestPressure", null, truth.LowestMbar, 1e-9);
        yield return Compare("vacuumHold", null, truth.VacuumHoldSeconds, 2 * Period);
        yield return Compare("moltenVacuum", null, truth.MoltenVacuumSeconds, 2 * Period);
        yield return Compare("liquidusSpread", null, truth.LiquidusSpreadSeconds, 2 * Period);

        // The machine opens its valve a moment before the pressure has left its edge.
        yield return Compare("pumpDownTime", null, truth.PumpDownSeconds, 1);
        yield return Compare("moltenAtVentEnd", null, AtVentEnd(played), 0.5);

        string Compare(string figure, string? channel, double? expected, double tolerance)
        {
            FigureResult found = Played.Figure(judged, figure, channel);
            return expected is { } value && !(Math.Abs((found.Value ?? double.NaN) - value) <= tolerance)
                ? FormattableString.Invariant($"{figure} {channel} is {found.Value} {found.Reason}, counted {value}")
                : "";
        }
    }
}
