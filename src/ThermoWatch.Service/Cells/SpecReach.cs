using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Cells;

/// <summary>Whether a cell's chamber comes down to what its spec asks for, by the runs on record.</summary>
/// <param name="Faults">Targets too near to, or below, the usual base pressure; empty if there is none, or nobody can tell yet.</param>
/// <param name="IsInUse">Whether this version has judged runs already: a pump that wears does not make a spec of it that cannot be.</param>
internal sealed record SpecReach(ImmutableArray<SpecFault> Faults, bool IsInUse)
{
    private const int RunsLookedAt = 24;
    private const int FewestRuns = 5;

    /// <summary>Holds a cell's spec against what its chamber has reached.</summary>
    /// <param name="cell">The cell.</param>
    /// <param name="runs">The catalogue of its runs.</param>
    public static SpecReach Of(CellConfiguration cell, RunCatalogue runs)
    {
        ChannelDefinition? gauge = cell.Definition.Channels.FirstOrDefault(c => c.Role == ChannelRole.Pressure);
        if (cell.Spec is not { Vacuum: not null } spec || gauge is null)
        {
            return new SpecReach([], false);
        }

        IReadOnlyList<RunRow> latest = runs.Latest(cell.Definition.Number, RunsLookedAt);
        return new SpecReach(
            SpecAgainstCell.Check(spec, new CellAbilities { Gauge = gauge, UsualBaseMillibar = UsualBase(latest) }),
            latest.Any(r => r.SpecName == spec.Name && r.SpecVersion == spec.Version));
    }

    /// <summary>New specs that ask for a vacuum which their cells do not reach, each in a sentence; of one in use it is only logged.</summary>
    /// <remarks>What has changed under a spec in use is the machine, and that is for its alarms to say.</remarks>
    public static IReadOnlyList<string> Refusals(IReadOnlyList<CellConfiguration> cells, RunCatalogue runs, ILogger log)
    {
        List<string> refusals = [];
        for (int i = 0; i < cells.Count; i++)
        {
            SpecReach reach = Of(cells[i], runs);
            foreach (SpecFault fault in reach.Faults)
            {
                string said = $"cells[{i}].spec does not fit this cell: {fault.Problem} {fault.Remedy}";
                if (reach.IsInUse)
                {
                    Log.SpecOutOfReach(log, said);
                }
                else
                {
                    refusals.Add(said);
                }
            }
        }

        return refusals;
    }

    /// <summary>Lowest pressure that evacuations usually reach, mbar; null before five of them.</summary>
    /// <remarks>The lower quartile: runs of a shallower recipe say nothing of what the pump can.</remarks>
    private static double? UsualBase(IReadOnlyList<RunRow> runs)
    {
        double[] reached = [.. runs.SelectMany(r => r.Figures.Where(f => f.Figure == "lowestPressure")).Select(f => f.Value).OfType<double>().Order()];
        return reached.Length < FewestRuns ? null : reached[reached.Length / 4];
    }
}
