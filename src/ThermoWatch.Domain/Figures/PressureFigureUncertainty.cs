using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Figures;

/// <summary>Standard uncertainty of the chamber's figures, from what the spec says of its gauge.</summary>
/// <remarks>
/// A step begins and ends at a share of the rest pressure that the same gauge has shown, so its error moves only the crossings of the
/// target: u(t) = u(p) / |dp/dt|, in quadrature with half an interval / sqrt 3 at each end.
/// </remarks>
internal static class PressureFigureUncertainty
{
    public static double? Of(RunScope scope, MeasurementChain chain, FigureKind kind, in Outcome outcome)
    {
        if (scope.Gauge is null || (chain.GaugeMillibar is null && chain.GaugeShare is null) || outcome.Reason is not null)
        {
            return null;
        }

        List<StepFigures> steps = VacuumFigures.VoidSteps(scope);
        double value = outcome.Low;
        double sampling = CrossingSlopes.OfSampling(scope.Gauge.NominalTicks, 2);
        switch (kind)
        {
            case FigureKind.PumpDownTime when Deciding(steps, s => s.PumpDown(), value) is { } step:
                return Quadrature.Root(Pressure(chain, step.Target!.Value) / Math.Abs(step.SlopeAt(step.Reached)), sampling);
            case FigureKind.VentTime when Deciding(steps, s => s.Vent(), value) is { } step:
                return Quadrature.Root(Pressure(chain, step.Target!.Value) / Math.Abs(step.SlopeAt(step.Left)), sampling);
            case FigureKind.VacuumHold when steps is [{ Target: { } target } only] && !double.IsNaN(only.Left):
                // A higher reading comes to the target later and leaves it earlier.
                double perMillibar = (1 / Math.Abs(only.SlopeAt(only.Reached))) + (1 / Math.Abs(only.SlopeAt(only.Left)));
                return Quadrature.Root(Pressure(chain, target) * perMillibar, sampling);
            case FigureKind.LowestPressure:
                return Pressure(chain, value);
            case FigureKind.VoidExpansion when Deciding(steps, s => s.Expansion(), value) is { } step:
                // A share of the reading stands above and below the line, and goes out.
                return value * (chain.GaugeMillibar ?? 0) / Math.Sqrt(3) / step.Least;
            default:
                return null;
        }
    }

    private static double Pressure(MeasurementChain chain, double millibar) =>
        Quadrature.Root(chain.GaugeMillibar ?? 0, (chain.GaugeShare ?? 0) * millibar) / Math.Sqrt(3);

    private static StepFigures? Deciding(List<StepFigures> steps, Func<StepFigures, Outcome> figure, double value) =>
        steps.Find(s => figure(s) is { HasValue: true } outcome && outcome.Low == value);
}
