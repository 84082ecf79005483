namespace ThermoWatch.Simulator.Fleet;

/// <summary>Figures of the true curves, by counting samples: coarse to one period, and written without the product's own code.</summary>
/// <param name="PeakCelsius">Greatest temperature of each place, degC.</param>
/// <param name="SecondsAboveLiquidus">Time of each place at or above the liquidus, s.</param>
/// <param name="LiquidusSpreadSeconds">Last minus first place to reach the liquidus, s; null if one never does.</param>
/// <param name="PumpDownSeconds">From the pump valve to the recipe's last target, s; null without vacuum or if never reached.</param>
/// <param name="VacuumHoldSeconds">Time at or below that target, s.</param>
/// <param name="MoltenVacuumSeconds">Part of it with every place at or above the liquidus, s.</param>
/// <param name="LowestMbar">Least pressure, mbar.</param>
/// <param name="MoltenAtVentEndKelvin">Coldest place less the liquidus when the vent ends, K; null without vacuum.</param>
public sealed record TrueFigures(
    IReadOnlyList<double> PeakCelsius,
    IReadOnlyList<double> SecondsAboveLiquidus,
    double? LiquidusSpreadSeconds,
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
        double[] peaks = new double[places], above = new double[places];
        double?[] reached = new double?[places];
        double? target = run.Member.Scenario.Recipe.Vacuum is { IsEmpty: false } stages ? stages[^1].TargetMbar : null;
        double? evacuation = null, atTarget = null, ventEnd = null;
        double hold = 0, molten = 0, lowest = double.MaxValue;
        foreach (FleetRow row in rows)
        {
            CellTruth truth = row.Truth;
            double coldest = truth.ProductCelsius.Min();
            for (int i = 0; i < places; i++)
            {
                double celsius = truth.ProductCelsius[i];
                peaks[i] = Math.Max(peaks[i], celsius);
                above[i] += celsius >= LiquidusCelsius ? period : 0;
                reached[i] ??= celsius >= LiquidusCelsius ? row.Seconds : null;
            }

            evacuation ??= truth.Phase == MachinePhase.Evacuation ? row.Seconds : null;
            ventEnd ??= evacuation is not null && truth.Phase == MachinePhase.Cooling ? coldest - LiquidusCelsius : null;
            lowest = Math.Min(lowest, truth.ChamberMbar);
            if (evacuation is not null && truth.ChamberMbar <= target)
            {
                atTarget ??= row.Seconds;
                hold += period;
                molten += coldest >= LiquidusCelsius ? period : 0;
            }
        }

        return new(peaks, above, reached.All(r => r is not null) ? reached.Max() - reached.Min() : null, atTarget - evacuation, hold, molten, lowest, ventEnd);
    }
}
