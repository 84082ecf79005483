using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Specs;

/// <summary>What a cell can show and reach, as far as it is known.</summary>
public sealed record CellAbilities
{
    /// <summary>The chamber's gauge; null without one.</summary>
    public ChannelDefinition? Gauge { get; init; }

    /// <summary>Smallest step of the gauge, mbar; null if not known.</summary>
    public double? GaugeResolutionMillibar { get; init; }

    /// <summary>Pressure that the pump usually reaches, mbar; null if not known.</summary>
    public double? UsualBaseMillibar { get; init; }

    /// <summary>Usual ambient pressure, hPa; null if not known.</summary>
    public double? UsualAmbientHectopascal { get; init; }
}

/// <summary>Holds a spec against the cell that is to be judged by it.</summary>
public static class SpecAgainstCell
{
    private const double BaseFactor = 1.5;
    private const double Resolutions = 3;

    // A capacitive gauge tells no less than a thousandth of its full scale (common practice).
    private const double ShareOfFullScale = 0.001;

    /// <summary>Everything that the spec asks for and the cell cannot do; empty if it can.</summary>
    /// <param name="spec">The spec, free of faults of its own.</param>
    /// <param name="cell">What is known of the cell.</param>
    public static ImmutableArray<SpecFault> Check(Spec spec, CellAbilities cell)
    {
        ArgumentNullException.ThrowIfNull(spec);
        ArgumentNullException.ThrowIfNull(cell);
        List<SpecFault> faults = [];
        if (spec.Fluid is { } fluid && cell.UsualAmbientHectopascal is { } ambient)
        {
            VapourRules.Check(spec, [.. spec.Limits.Select((_, i) => $"$.limits[{i}]")], new Vapour(fluid, ambient), faults);
        }

        // Without a gauge nothing contradicts: the vacuum's figures will be undetermined, and say why.
        if (spec.Vacuum is { } vacuum && cell.Gauge is { } gauge)
        {
            Check("$.vacuum.target", vacuum.TargetMillibar, gauge, cell, faults);
            for (int i = 0; i < vacuum.Steps.Length; i++)
            {
                if (vacuum.Steps[i].TargetMillibar != vacuum.TargetMillibar)
                {
                    Check($"$.vacuum.steps[{i}].target", vacuum.Steps[i].TargetMillibar, gauge, cell, faults);
                }
            }
        }

        return [.. faults];
    }

    private static void Check(string path, double target, ChannelDefinition gauge, CellAbilities cell, List<SpecFault> faults)
    {
        if (LeastShown(gauge) is { } least && target < least)
        {
            faults.Add(new(path, SpecRules.Text($"{path} is {target} mbar, but the gauge \"{gauge.Name}\" shows nothing below {Short(least)} mbar."),
                "Raise the target, or use a gauge that reaches below it."));
        }
        else if ((cell.GaugeResolutionMillibar ?? Resolution(gauge)) is { } step && target < Resolutions * step)
        {
            faults.Add(new(path,
                SpecRules.Text($"{path} is {target} mbar, but the gauge \"{gauge.Name}\" tells {Short(step)} mbar apart: the target is below {Resolutions} of its steps."),
                "Raise the target, or use a gauge of a smaller range."));
        }

        if (cell.UsualBaseMillibar is { } lowest && target < BaseFactor * lowest)
        {
            faults.Add(new(path,
                SpecRules.Text($"{path} is {target} mbar, but the chamber usually comes to {Short(lowest)} mbar: the target is below {BaseFactor} times that."),
                "Raise the target, or see to pump and seals."));
        }
    }

    /// <summary>Lowest pressure that the gauge shows, mbar; null if its configuration does not say.</summary>
    public static double? LeastShown(ChannelDefinition gauge)
    {
        ArgumentNullException.ThrowIfNull(gauge);
        if (gauge.Conversion.Lowest is { } lowest)
        {
            return lowest;
        }

        return gauge.Conversion.Law switch
        {
            AnalogueLaw.Linear line => InMillibar(gauge, Math.Min(line.FromValue, line.ToValue)),
            AnalogueLaw.Table table => InMillibar(gauge, table.Points.Min(p => p.Value)),
            _ => null,
        };
    }

    /// <summary>Smallest step that a linear gauge's range leaves, mbar; null where the law is another.</summary>
    private static double? Resolution(ChannelDefinition gauge) => gauge.Conversion.Law switch
    {
        AnalogueLaw.Linear line => ShareOfFullScale * InMillibar(gauge, Math.Max(line.FromValue, line.ToValue)),
        _ => null,
    };

    private static double InMillibar(ChannelDefinition gauge, double value) =>
        Pressure.PressureUnits.Convert(value, gauge.Conversion.PressureUnit, Pressure.PressureUnit.Millibar);

    private static double Short(double value) => Math.Round(value, 4);
}
