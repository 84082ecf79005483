using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Lists the stretches of a run in which a channel's curve is not known.</summary>
internal static class GapFinder
{
    public static ImmutableArray<GapSpan> Of(RunScope scope)
    {
        var gaps = ImmutableArray.CreateBuilder<GapSpan>();
        foreach (ProductWatch watch in scope.Products)
        {
            AddOf(gaps, scope, watch.Track);
        }

        if (scope.Gauge is not null)
        {
            AddOf(gaps, scope, scope.Gauge);
        }

        return gaps.ToImmutable();
    }

    private static void AddOf(ImmutableArray<GapSpan>.Builder gaps, RunScope scope, ChannelTrack track)
    {
        CurveView view = scope.View(track);
        for (int i = 0; i < view.Count - 1; i++)
        {
            if (view.IsGap(i))
            {
                gaps.Add(new GapSpan(track.Definition.Id, new Timestamp(view.Ticks(i)), new Timestamp(view.Ticks(i + 1))));
            }
        }

        if (view.Count > 0 && scope.EndTicks - view.Ticks(view.Count - 1) > track.GapTicks)
        {
            gaps.Add(new GapSpan(track.Definition.Id, new Timestamp(view.Ticks(view.Count - 1)), null)
            {
                Reason = track.SureUntil < scope.EndTicks ? QualityReason.Detached : QualityReason.None,
            });
        }
    }
}
