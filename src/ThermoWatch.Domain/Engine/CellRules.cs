using System.Collections.Immutable;

namespace ThermoWatch.Domain.Engine;

/// <summary>How runs are found and curves are read in one cell. The defaults are the rules as defined.</summary>
public sealed record CellRules
{
    /// <summary>Whether runs begin and end by what the sensors show. Without it only commands begin and end them.</summary>
    public bool DetectRuns { get; init; } = true;

    /// <summary>
    /// Longest distance of two readings that still belong together; null: from the nominal interval;
    /// <see cref="TimeSpan.MaxValue"/>: any distance does.
    /// </summary>
    public TimeSpan? GapLimit { get; init; }

    /// <summary>Nominal interval by channel id, where it is not the device's period.</summary>
    public ImmutableDictionary<string, TimeSpan> NominalIntervals { get; init; } = ImmutableDictionary<string, TimeSpan>.Empty;

    /// <summary>Ids of pressure channels whose gauge has a logarithmic law: their error is a factor, not a share.</summary>
    public ImmutableHashSet<string> LogarithmicGauges { get; init; } = [];

    /// <summary>Slope that shows a board being heated, K/s over 10 s.</summary>
    public double StartSlope { get; init; } = 0.3;

    /// <summary>Rise above the least value of the last 60 s that shows a board being heated, K.</summary>
    public double StartRise { get; init; } = 8;

    /// <summary>A run whose sensors are all below this has cooled, °C.</summary>
    public double CooledBelow { get; init; } = 60;

    /// <summary>Slower than this for two minutes is at rest, K/s.</summary>
    public double FlatSlope { get; init; } = 0.02;

    /// <summary>Rise above the least value since the cooling that shows the next board, K.</summary>
    public double NewRise { get; init; } = 15;

    /// <summary>Without product sensors and without a signal for it, a run has ended this long after its last vent.</summary>
    public TimeSpan EndAfterVent { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>A motion channel further from zero than this shows that its carrier moves; null: motion begins no run.</summary>
    public double? MotionAbove { get; init; }

    /// <summary>Number at which a carrier's own position channel says that it is in the vacuum chamber; null: any but 0.</summary>
    public int? ChamberPosition { get; init; }

    /// <summary>
    /// Whether nothing heats a board above the vapour before its first evacuation; false where the station heats otherwise.
    /// </summary>
    public bool VapourIsHottest { get; init; } = true;

    /// <summary>A run older than this, and than three usual cycle times, is given up.</summary>
    public TimeSpan AbandonAfter { get; init; } = TimeSpan.FromMinutes(30);

    /// <summary>Usual distance of two readings of a channel.</summary>
    internal long NominalTicks(string channelId, TimeSpan period) => NominalIntervals.GetValueOrDefault(channelId, period).Ticks;

    /// <summary>The gap limit of a channel: 5 nominal intervals, at least 1 s, at most 3 s, but at least 1.5 intervals.</summary>
    internal long GapTicks(string channelId, TimeSpan period)
    {
        if (GapLimit is { } limit)
        {
            return limit.Ticks;
        }

        long nominal = NominalTicks(channelId, period);
        long usual = Math.Clamp(5 * nominal, TimeSpan.TicksPerSecond, 3 * TimeSpan.TicksPerSecond);
        return Math.Max(usual, nominal + (nominal / 2));
    }
}
