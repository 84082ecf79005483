using System.Collections.Immutable;

namespace ThermoWatch.Domain.Runs;

/// <summary>A phase of a released run, in seconds from the run's start.</summary>
/// <param name="Phase">Its name.</param>
/// <param name="StartSeconds">Where it begins.</param>
/// <param name="EndSeconds">Where it ends.</param>
public readonly record struct CorridorPhase(string Phase, double StartSeconds, double EndSeconds);

/// <summary>One channel's curve in a released run: good readings only, rising times.</summary>
/// <param name="Channel">Its channel.</param>
/// <param name="Seconds">Seconds from the run's start.</param>
/// <param name="Values">Values in the channel's unit.</param>
public sealed record CorridorCurve(string Channel, ImmutableArray<double> Seconds, ImmutableArray<double> Values);

/// <summary>A released instrumented run, as a corridor needs it.</summary>
/// <param name="Phases">Its thermal phases in order.</param>
/// <param name="Curves">Its curves.</param>
public sealed record CorridorRun(ImmutableArray<CorridorPhase> Phases, ImmutableArray<CorridorCurve> Curves);

/// <summary>Where a channel is expected at a moment.</summary>
/// <param name="Low">Lower edge, in the channel's unit.</param>
/// <param name="Median">Middle of the released runs.</param>
/// <param name="High">Upper edge.</param>
/// <param name="Runs">How many released runs it rests on.</param>
public readonly record struct CorridorBand(double Low, double Median, double High, int Runs);

/// <summary>
/// The stretch in which released instrumented runs lie, channel by channel. Runs are laid over each other anew at the
/// start of every phase, so that a soak that was two seconds longer does not widen everything after it.
/// </summary>
/// <remarks>Half width: three robust spreads (1.4826 MAD), and not under the floor. Common practice, not a standard.</remarks>
public sealed class ReferenceCorridor
{
    /// <summary>Step of the corridor within a phase, in s.</summary>
    public const double StepSeconds = 1;

    private const double Spreads = 3;
    private const double LongestStepSeconds = 5;
    private const double ToleranceSeconds = 3;
    private readonly Dictionary<(string Channel, string Phase), CorridorBand?[]> _bands;

    private ReferenceCorridor(Dictionary<(string Channel, string Phase), CorridorBand?[]> bands, int runs) => (_bands, Runs) = (bands, runs);

    /// <summary>How many released runs it was made of.</summary>
    public int Runs { get; }

    /// <summary>Lays released runs over each other; null with fewer than <see cref="ProductionComparison.FewestRuns"/>.</summary>
    /// <param name="released">The runs.</param>
    /// <param name="floor">Half width that no band goes under, in the unit of the channels: what the instrument is sure of.</param>
    public static ReferenceCorridor? Of(IReadOnlyList<CorridorRun> released, double floor)
    {
        ArgumentNullException.ThrowIfNull(released);
        if (released.Count < ProductionComparison.FewestRuns)
        {
            return null;
        }

        Dictionary<(string Channel, string Phase), CorridorBand?[]> bands = [];
        foreach (string channel in released.SelectMany(r => r.Curves).Select(c => c.Channel).Distinct())
        {
            foreach (string phase in released.SelectMany(r => r.Phases).Select(p => p.Phase).Distinct())
            {
                (CorridorPhase Phase, CorridorCurve Curve)[] parts = [.. released
                    .Where(r => r.Curves.Any(c => c.Channel == channel) && r.Phases.Any(p => p.Phase == phase))
                    .Select(r => (r.Phases.First(p => p.Phase == phase), r.Curves.First(c => c.Channel == channel)))];
                if (parts.Length >= ProductionComparison.FewestRuns)
                {
                    bands[(channel, phase)] = Bands(parts, floor);
                }
            }
        }

        return new ReferenceCorridor(bands, released.Count);
    }

    /// <summary>Where a channel is expected; null where too few released runs tell.</summary>
    /// <param name="channel">The channel.</param>
    /// <param name="phase">The phase that it is in.</param>
    /// <param name="secondsIntoPhase">Seconds since that phase began.</param>
    public CorridorBand? BandAt(string channel, string phase, double secondsIntoPhase)
    {
        if (!_bands.TryGetValue((channel, phase), out CorridorBand?[]? steps) || !(secondsIntoPhase >= 0))
        {
            return null;
        }

        double place = secondsIntoPhase / StepSeconds;
        int before = (int)place;
        if (before >= steps.Length || steps[before] is not { } from)
        {
            return null;
        }

        double part = place - before;
        if (part == 0)
        {
            return from;
        }

        return before + 1 < steps.Length && steps[before + 1] is { } to
            ? new CorridorBand(Between(from.Low, to.Low, part), Between(from.Median, to.Median, part), Between(from.High, to.High, part), Math.Min(from.Runs, to.Runs))
            : null;
    }

    /// <summary>
    /// How far a value lies outside of where its channel is expected a little earlier or later too, in the channel's unit; negative
    /// inside, null where too few released runs tell. On a steep ramp a second is ten kelvin, and no reason to call anybody.
    /// </summary>
    /// <param name="channel">The channel.</param>
    /// <param name="phase">The phase that it is in.</param>
    /// <param name="secondsIntoPhase">Seconds since that phase began.</param>
    /// <param name="value">Its value.</param>
    public double? Outside(string channel, string phase, double secondsIntoPhase, double value)
    {
        (double low, double high) = (double.PositiveInfinity, double.NegativeInfinity);
        for (double t = secondsIntoPhase - ToleranceSeconds; t <= secondsIntoPhase + ToleranceSeconds; t += StepSeconds)
        {
            if (BandAt(channel, phase, Math.Max(0, t)) is { } band)
            {
                (low, high) = (Math.Min(low, band.Low), Math.Max(high, band.High));
            }
        }

        // At a phase's end only some released runs go on: what the others did then is in the next phase.
        return high < low || BandAt(channel, phase, secondsIntoPhase + ToleranceSeconds) is null ? null : Math.Max(low - value, value - high);
    }

    private static CorridorBand?[] Bands((CorridorPhase Phase, CorridorCurve Curve)[] parts, double floor)
    {
        double longest = parts.Max(p => p.Phase.EndSeconds - p.Phase.StartSeconds);
        var bands = new CorridorBand?[(int)Math.Floor(longest / StepSeconds) + 1];
        for (int step = 0; step < bands.Length; step++)
        {
            double into = step * StepSeconds;
            double[] values = [.. parts.Where(p => into <= p.Phase.EndSeconds - p.Phase.StartSeconds).Select(p => ValueAt(p.Curve, p.Phase.StartSeconds + into)).OfType<double>().Order()];
            if (values.Length >= ProductionComparison.FewestRuns)
            {
                double median = Median.OfSorted(values);
                double half = Math.Max(floor, Spreads * ProductionComparison.RobustSpread * Median.Of(values.Select(v => Math.Abs(v - median))));
                bands[step] = new CorridorBand(median - half, median, median + half, values.Length);
            }
        }

        return bands;
    }

    private static double? ValueAt(CorridorCurve curve, double seconds)
    {
        int after = curve.Seconds.BinarySearch(seconds);
        if (after >= 0)
        {
            return curve.Values[after];
        }

        after = ~after;
        if (after == 0 || after == curve.Seconds.Length)
        {
            return null;
        }

        double from = curve.Seconds[after - 1];
        double to = curve.Seconds[after];
        // Nothing is drawn over a gap, and nothing is expected of it.
        return to - from > LongestStepSeconds ? null : Between(curve.Values[after - 1], curve.Values[after], (seconds - from) / (to - from));
    }

    private static double Between(double from, double to, double part) => from + (part * (to - from));
}
