using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Figures;

/// <summary>Figures of all product channels of a carrier together.</summary>
internal static class CarrierFigures
{
    public static void Add(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope, List<ChannelFigures> channels)
    {
        double cycle = (scope.EndTicks - scope.Run.StartTicks) / (double)TimeSpan.TicksPerSecond;
        results.Add((FigureKind.CycleTime, Outcome.Known(cycle)));
    }
}
