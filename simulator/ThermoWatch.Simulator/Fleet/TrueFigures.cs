namespace ThermoWatch.Simulator.Fleet;

/// <summary>Figures of the true curves, by counting samples: coarse to one period, and written without the product's own code.</summary>
/// <param name="PeakCelsius">Greatest temperature of each place, degC.</param>
/// <param name="SecondsAboveLiquidus">Time of each place at or above the liquidus, s.</param>
/// <param name="LiquidusSpreadSeconds">Last minus first place to reach the liquidus, s; null if one never does.</param>
/// <param name="LiquidusRisingSeconds">When each place first reaches the liquidus, s from the loading; null if never.</param>
/// <param name="LiquidusFallingSeconds">When each place is last at or above it, s from the loading; null if never.</param>
/// <param name="PeakSeconds">When each place is hottest, s from the loading.</param>
/// <param name="EvacuationSeconds">When the pump's valve opens over the molten boards, s from the loading; null without vacuum.</param>
/// <param name="TargetSeconds">When the recipe's last target is reached, s from the loading; null if never.</param>
/// <param name="VentEndSeconds">When the vent ends, s from the loading; null without vacuum.</param>
/// <param name="PumpDownSeconds">From the pump valve to the recipe's last target, s; null without vacuum or if never reached.</param>
/// <param name="VacuumHoldSeconds">Time at or below that target, s.</param>
/// <param name="MoltenVacuumSeconds">Part of it with every place at or above the liquidus, s.</param>
/// <param name="LowestMbar">Least pressure, mbar.</param>
/// <param name="MoltenAtVentEndKelvin">Coldest place less the liquidus when the vent ends, K; null without vacuum.</param>
public sealed record TrueFigures(
    IReadOnlyList<double> PeakCelsius,
    IReadOnlyList<double> SecondsAboveLiquidus,
    double? LiquidusSpreadSeconds,
    IReadOnlyList<double?> LiquidusRisingSeconds,
    IReadOnlyList<double?> LiquidusFallingSeconds,
    IReadOnlyList<double> PeakSeconds,
    double? EvacuationSeconds,
    double? TargetSeconds,
    double? VentEndSeconds,
    double? PumpDownSeconds,
    double VacuumHoldSeconds,
    double MoltenVacuumSeconds,
    double LowestMbar,
    double? MoltenAtVentEndKelvin)
{
    /// <summary>Liquidus of SAC305, degC (reference/process/alloys.csv).</summary>
    public const double LiquidusCelsius = 220;

    /// <summary>Counts a played run.</summary>
    public static TrueFigures Of(FleetRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        IReadOnlyList<FleetRow> rows = run.Rows;
        double period = rows.Count > 1 ? rows[1].Seconds - rows[0].Seconds : 0;
        int places = SimulatedChannels.ProductCount;
        double[] peaks = new double[places], peakAt = new double[places], above = new double[places];
        double?[] reached = new double?[places], left = new double?[places];
        double? target = run.Member.Scenario.Recipe.Vacuum is { IsEmpty: false } stages ? stages[^1].TargetMbar : null;
        double? evacuation = null, atTarget = null, ventEnd = null, moltenThen = null;
        double hold = 0, molten = 0, lowest = double.MaxValue;
        foreach (FleetRow row in rows)
        {
            CellTruth truth = row.Truth;
            double coldest = truth.ProductCelsius.Min();
            for (int i = 0; i < places; i++)
            {
                double celsius = truth.ProductCelsius[i];
                (peaks[i], peakAt[i]) = celsius > peaks[i] ? (celsius, row.Seconds) : (peaks[i], peakAt[i]);
                above[i] += celsius >= LiquidusCelsius ? period : 0;
                reached[i] ??= celsius >= LiquidusCelsius ? row.Seconds : null;
                left[i] = celsius >= LiquidusCelsius ? row.Seconds : left[i];
            }

            evacuation ??= truth.Phase == MachinePhase.Evacuation ? row.Seconds : null;
            if (ventEnd is null && evacuation is not null && truth.Phase == MachinePhase.Cooling)
            {
                (ventEnd, moltenThen) = (row.Seconds, coldest - LiquidusCelsius);
            }

            lowest = Math.Min(lowest, truth.ChamberMbar);
            if (evacuation is not null && truth.ChamberMbar <= target)
            {
                atTarget ??= row.Seconds;
                hold += period;
                molten += coldest >= LiquidusCelsius ? period : 0;
            }
        }

        double? spread = reached.All(r => r is not null) ? reached.Max() - reached.Min() : null;
        return new(
            peaks, above, spread, reached, left, peakAt, evacuation, atTarget, ventEnd, atTarget - evacuation, hold, molten, lowest, moltenThen);
    }
}
