using System.Runtime.CompilerServices;

namespace ThermoWatch.Domain.Signals;

/// <summary>How a reading lies between its two neighbours.</summary>
/// <param name="Share">Where between them it lies in time: 0 at the one before, 1 at the next.</param>
/// <param name="Deviation">How far it is from the straight line between them, in its unit.</param>
/// <param name="IsSpike">Whether it is a spike.</param>
public readonly record struct SpikeCheck(double Share, double Deviation, bool IsSpike);

/// <summary>Marks a single reading far from both neighbours, one reading later; the raw value stays.</summary>
/// <remarks>
/// No joint changes by more than 10 K/s, so a jump there and back is electricity. Nor does a chamber empty or fill by half and
/// undo it between two readings; believed, such a jump would begin or end an evacuation. Thresholds: common practice.
/// One rule for everybody: the engine, which leaves the reading out of its curves, and those who only convert.
/// </remarks>
public static class SpikeRule
{
    /// <summary>A reading further than this from the line between its neighbours is a spike, K.</summary>
    public const double MostKelvin = 10;

    /// <summary>Neighbours further apart say nothing about what lies between them, s.</summary>
    public const double MostSeconds = 3;

    /// <summary>Neighbours that differ faster belong to a real change, K/s.</summary>
    public const double MostKelvinPerSecond = 10;

    /// <summary>A chamber pressure beyond this times the greater of its neighbours, or the smaller divided by it, may be a spike.</summary>
    public const double MostFactor = 2;

    /// <summary>It is one if it lies further than this from that neighbour, mbar: less is noise of a gauge near its lower end.</summary>
    public const double MostMillibar = 10;

    private const long MostTicks = (long)MostSeconds * Timestamp.TicksPerSecond;

    /// <summary>What a spike becomes: recorded and drawn, not judged.</summary>
    public static SignalQuality Mark => SignalQuality.Uncertain(QualityReason.Spike);

    /// <summary>Whether a reading of this quality may be judged: it is good, or measured beyond the instrument's span.</summary>
    public static bool MayBeJudged(SignalQuality quality) => quality.Level == Quality.Good
        || (quality.Level == Quality.Uncertain && quality.Reason is QualityReason.UnderRange or QualityReason.OverRange);

    /// <summary>Whether spikes are looked for in a channel: temperatures, and the pressure of the chamber.</summary>
    /// <param name="channel">The channel.</param>
    public static bool LooksAt(ChannelDefinition channel) => channel.Unit == MeasuredUnit.DegreeCelsius || channel.Role == ChannelRole.Pressure;

    /// <summary>
    /// Whether a chamber pressure is a spike between its neighbours: they lie at most <see cref="MostSeconds"/> apart and within
    /// <see cref="MostFactor"/> of each other, and it is by more than that above or below both.
    /// </summary>
    /// <param name="beforeTicks">When the neighbour before it was measured.</param>
    /// <param name="before">What that showed, mbar, above 0.</param>
    /// <param name="ticks">When the reading in question was measured.</param>
    /// <param name="value">What it showed, mbar, above 0.</param>
    /// <param name="nextTicks">When the next one was measured.</param>
    /// <param name="next">What that showed, mbar, above 0.</param>
    public static bool IsPressureSpike(long beforeTicks, double before, long ticks, double value, long nextTicks, double next)
    {
        if (nextTicks - beforeTicks > MostTicks || ticks <= beforeTicks || ticks >= nextTicks)
        {
            return false;
        }

        (double least, double greatest) = before < next ? (before, next) : (next, before);
        return greatest <= MostFactor * least
            && ((value > MostFactor * greatest && value - greatest > MostMillibar)
                || (value * MostFactor < least && least - value > MostMillibar));
    }

    /// <summary>Looks at a temperature between its neighbours; null when they are too far apart, or not in order, to tell.</summary>
    /// <param name="beforeTicks">When the neighbour before it was measured.</param>
    /// <param name="before">What that showed, °C.</param>
    /// <param name="ticks">When the reading in question was measured.</param>
    /// <param name="value">What it showed, °C.</param>
    /// <param name="nextTicks">When the next one was measured.</param>
    /// <param name="next">What that showed, °C.</param>
    public static SpikeCheck? Check(long beforeTicks, double before, long ticks, double value, long nextTicks, double next) =>
        TryCheck(beforeTicks, before, ticks, value, nextTicks, next, out SpikeCheck check) ? check : null;

    /// <summary>The same; false when they are too far apart, or not in order, to tell.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static bool TryCheck(long beforeTicks, double before, long ticks, double value, long nextTicks, double next, out SpikeCheck check)
    {
        long span = unchecked(nextTicks - beforeTicks);
        if (span > MostTicks || ticks <= beforeTicks || ticks >= nextTicks)
        {
            check = default;
            return false;
        }

        double share = unchecked(ticks - beforeTicks) / (double)span;
        double deviation = value - (before + ((next - before) * share));
        check = new SpikeCheck(
            share, deviation, Math.Abs(deviation) > MostKelvin && Math.Abs(next - before) <= MostKelvinPerSecond * span / Timestamp.TicksPerSecond);
        return true;
    }
}
