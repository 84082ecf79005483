using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Figures;

/// <summary>Figures of the chamber.</summary>
internal static class VacuumFigures
{
    public static void Add(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope, List<ChannelFigures> channels)
    {
    }
}
