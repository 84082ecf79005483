using System.Collections.Frozen;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Cells;

/// <summary>How long a run and its phases usually take, by the last good runs: the time axis is laid out by it.</summary>
/// <param name="CycleSeconds">Median length of a run in s; null without good runs.</param>
/// <param name="Phases">Median start and length of each phase that most of them had.</param>
internal sealed record UsualRun(double? CycleSeconds, UsualPhase[] Phases)
{
    private FrozenDictionary<(string, string?, double?, double?), double> Figures { get; init; } =
        FrozenDictionary<(string, string?, double?, double?), double>.Empty;

    /// <summary>Nothing is usual yet.</summary>
    public static UsualRun None { get; } = new(null, []);

    /// <summary>What is usual in these runs, which have all ended.</summary>
    public static UsualRun Of(IReadOnlyCollection<RunRow> runs)
    {
        if (runs.Count == 0)
        {
            return None;
        }

        UsualPhase[] phases = [.. runs
            .SelectMany(run => run.Phases.Where(p => p.End is not null).Select(phase => (run, phase)))
            .GroupBy(x => (x.phase.Track, x.phase.Name))
            .Where(g => 2 * g.Select(x => x.run).Distinct().Count() > runs.Count)
            .Select(g => new UsualPhase
            {
                Phase = g.Key.Name,
                Track = Words.Of(g.Key.Track),
                StartSeconds = Median(g.Select(x => x.phase.Start.SecondsSince(x.run.Start))),
                DurationSeconds = Median(g.Select(x => x.phase.End!.Value.SecondsSince(x.phase.Start))),
            })
            .OrderBy(p => p.StartSeconds)];
        return new UsualRun(Median(runs.Select(r => r.End!.Value.SecondsSince(r.Start))), phases)
        {
            Figures = runs.SelectMany(run => run.Figures.Where(f => f.Value is not null).DistinctBy(KeyOf))
                .GroupBy(KeyOf, f => f.Value!.Value)
                .ToFrozenDictionary(g => g.Key, g => Median(g)),
        };
    }

    /// <summary>Usual value of a figure, in its unit; null if nothing is usual yet.</summary>
    public double? Of(FigureResult figure) => Figures.TryGetValue(KeyOf(figure), out double usual) ? usual : null;

    // A figure may stand twice with limits of its own, as times above several levels do.
    private static (string, string?, double?, double?) KeyOf(FigureResult figure) =>
        (figure.Figure, figure.ChannelId, figure.Lower, figure.Upper);

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        int middle = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    }
}
