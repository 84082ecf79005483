using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>An alarm and how often it was told.</summary>
/// <param name="AlarmId">Its id.</param>
/// <param name="Told">How often.</param>
/// <param name="Share">Of all that were told, 0 to 1.</param>
public sealed record FrequentAlarm(string AlarmId, int Told, double Share);

/// <summary>How well a cell's alarms serve the people who must act on them, by the history of a span.</summary>
/// <remarks>
/// Measures and targets by ISA-18.2 and IEC 62682: about one alarm in ten minutes can be handled; no ten minutes with more than ten;
/// less than 1 % of the time in flood; nothing chatters; fewer than five stand for more than a day.
/// Only what is told counts: what is shelved, suppressed or out of service asks nobody for anything.
/// </remarks>
public sealed record AlarmQuality
{
    /// <summary>Length of the span, s.</summary>
    public required double SpanSeconds { get; init; }

    /// <summary>Alarms told.</summary>
    public required int Told { get; init; }

    /// <summary>Alarms told in ten minutes, mean.</summary>
    public required double PerTenMinutes { get; init; }

    /// <summary>The most that were told in any ten minutes, wherever they begin.</summary>
    public required int MostInTenMinutes { get; init; }

    /// <summary>Share of the ten-minute periods, counted from the span's start, with more than ten alarms.</summary>
    public required double CrowdedPeriods { get; init; }

    /// <summary>Share of the hours, counted from the span's start, with more than thirty alarms.</summary>
    public required double CrowdedHours { get; init; }

    /// <summary>Share of the time in flood: from more than ten alarms in ten minutes until fewer than five are.</summary>
    public required double FloodShare { get; init; }

    /// <summary>Alarms that were told three times or more within a minute.</summary>
    public required ImmutableArray<string> Chattering { get; init; }

    /// <summary>How often an alarm was over within a minute without anybody having done anything.</summary>
    public required int Fleeting { get; init; }

    /// <summary>Alarms whose condition held for more than a day without a break, told all the while.</summary>
    public required ImmutableArray<string> Stale { get; init; }

    /// <summary>The ten told most often, most first.</summary>
    public required ImmutableArray<FrequentAlarm> MostFrequent { get; init; }

    /// <summary>Share of all that those ten have, 0 to 1.</summary>
    public required double TopTenShare { get; init; }

    /// <summary>Median time from being told to being acknowledged, s; null if nothing was acknowledged.</summary>
    public required double? MedianSecondsToAcknowledge { get; init; }

    /// <summary>Nine in ten were acknowledged within this, s; null if nothing was acknowledged.</summary>
    public required double? NinetyPercentSecondsToAcknowledge { get; init; }

    /// <summary>Told and never acknowledged by the span's end.</summary>
    public required int NeverAcknowledged { get; init; }

    /// <summary>Share of high, medium and low among those told, in this order; zeros if none was.</summary>
    public required (double High, double Medium, double Low) Priorities { get; init; }

    private const int FloodBegins = 10;
    private const int FloodEnds = 5;
    private const int CrowdedHour = 30;
    private const int Top = 10;
    private static readonly TimeSpan s_window = TimeSpan.FromMinutes(10);
    private static readonly TimeSpan s_minute = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan s_day = TimeSpan.FromDays(1);

    /// <summary>Measures a span.</summary>
    /// <param name="history">Steps of alarms in the order of time; those outside the span are left aside.</param>
    /// <param name="from">Start of the span.</param>
    /// <param name="to">Its end, later than the start.</param>
    public static AlarmQuality Of(IEnumerable<AlarmEvent> history, Timestamp from, Timestamp to)
    {
        ArgumentNullException.ThrowIfNull(history);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(to.UtcTicks, from.UtcTicks, nameof(to));
        AlarmEvent[] steps = [.. history.Where(e => e.Time >= from && e.Time < to)];
        AlarmEvent[] told = [.. steps.Where(IsTelling)];
        double[] answered = [.. SecondsToAcknowledge(steps, out int open).Order()];
        FrequentAlarm[] frequent =
        [
            .. told.GroupBy(e => e.AlarmId).Select(g => new FrequentAlarm(g.Key, g.Count(), (double)g.Count() / told.Length))
                .OrderByDescending(f => f.Told).ThenBy(f => f.AlarmId, StringComparer.Ordinal),
        ];
        return new AlarmQuality
        {
            SpanSeconds = to.SecondsSince(from),
            Told = told.Length,
            PerTenMinutes = told.Length * s_window.TotalSeconds / to.SecondsSince(from),
            MostInTenMinutes = Most(told),
            CrowdedPeriods = Crowded(told, from, to, s_window, FloodBegins),
            CrowdedHours = Crowded(told, from, to, TimeSpan.FromHours(1), CrowdedHour),
            FloodShare = Flood(told, to) / to.SecondsSince(from),
            Chattering = [.. told.GroupBy(e => e.AlarmId).Where(Chatters).Select(g => g.Key).Order(StringComparer.Ordinal)],
            Fleeting = steps.GroupBy(e => e.AlarmId).Sum(Fleetings),
            Stale = [.. steps.GroupBy(e => e.AlarmId).Where(g => StandsForADay(g, to)).Select(g => g.Key).Order(StringComparer.Ordinal)],
            MostFrequent = [.. frequent.Take(Top)],
            TopTenShare = told.Length == 0 ? 0 : frequent.Take(Top).Sum(f => f.Told) / (double)told.Length,
            MedianSecondsToAcknowledge = Quantile(answered, 0.5),
            NinetyPercentSecondsToAcknowledge = Quantile(answered, 0.9),
            NeverAcknowledged = open,
            Priorities = (Share(told, AlarmPriority.High), Share(told, AlarmPriority.Medium), Share(told, AlarmPriority.Low)),
        };
    }

    /// <summary>Whether a step tells people something new: it calls for somebody who has not seen it.</summary>
    private static bool IsTelling(AlarmEvent step) => step.State == AlarmState.Unacknowledged;

    private static double Share(AlarmEvent[] told, AlarmPriority priority) =>
        told.Length == 0 ? 0 : (double)told.Count(e => e.Priority == priority) / told.Length;

    private static int Most(AlarmEvent[] told)
    {
        int most = 0;
        for (int last = 0, first = 0; last < told.Length; last++)
        {
            while (told[last].Time - told[first].Time >= s_window)
            {
                first++;
            }

            most = Math.Max(most, last - first + 1);
        }

        return most;
    }

    private static double Crowded(AlarmEvent[] told, Timestamp from, Timestamp to, TimeSpan period, int limit)
    {
        long periods = Math.Max(1, ((to - from).Ticks + period.Ticks - 1) / period.Ticks);
        int crowded = told.GroupBy(e => (e.Time - from).Ticks / period.Ticks).Count(g => g.Count() > limit);
        return (double)crowded / periods;
    }

    /// <summary>Seconds in flood: the count over the last ten minutes rises when an alarm is told, and falls ten minutes later.</summary>
    private static double Flood(AlarmEvent[] told, Timestamp to)
    {
        IEnumerable<(Timestamp Time, int Change)> changes = told.Select(e => (e.Time, 1)).Concat(told.Select(e => (e.Time + s_window, -1)))
            .OrderBy(c => c.Item1).ThenBy(c => c.Item2);
        int count = 0;
        double seconds = 0;
        Timestamp? began = null;
        foreach ((Timestamp time, int change) in changes)
        {
            count += change;
            if (began is null && count > FloodBegins)
            {
                began = time;
            }
            else if (began is { } since && count < FloodEnds)
            {
                seconds += (time < to ? time : to).SecondsSince(since);
                began = null;
            }
        }

        return seconds;
    }

    private static bool Chatters(IEnumerable<AlarmEvent> told)
    {
        Timestamp[] times = [.. told.Select(e => e.Time)];
        for (int i = 2; i < times.Length; i++)
        {
            if (times[i] - times[i - 2] <= s_minute)
            {
                return true;
            }
        }

        return false;
    }

    private static int Fleetings(IEnumerable<AlarmEvent> steps)
    {
        int fleeting = 0;
        Timestamp? told = null;
        foreach (AlarmEvent step in steps)
        {
            fleeting += told is { } since && step.State is AlarmState.ReturnedUnacknowledged or AlarmState.LatchedUnacknowledged && step.Time - since <= s_minute ? 1 : 0;
            told = IsTelling(step) ? step.Time : null;
        }

        return fleeting;
    }

    private static bool StandsForADay(IEnumerable<AlarmEvent> steps, Timestamp to)
    {
        Timestamp? since = null;
        foreach (AlarmEvent step in steps)
        {
            bool stands = step.State is AlarmState.Unacknowledged or AlarmState.Acknowledged;
            if (!stands && since is { } began && step.Time - began > s_day)
            {
                return true;
            }

            since = stands ? since ?? step.Time : null;
        }

        return since is { } open && to - open > s_day;
    }

    private static List<double> SecondsToAcknowledge(AlarmEvent[] steps, out int open)
    {
        List<double> seconds = [];
        Dictionary<string, Timestamp> waiting = [];
        foreach (AlarmEvent step in steps)
        {
            if (step.Signal == AlarmSignal.Acknowledge && waiting.Remove(step.AlarmId, out Timestamp since))
            {
                seconds.Add(step.Time.SecondsSince(since));
            }
            else if (IsTelling(step))
            {
                waiting.TryAdd(step.AlarmId, step.Time); // told again before anybody had seen it: they wait for the first
            }
        }

        open = waiting.Count;
        return seconds;
    }

    private static double? Quantile(double[] sorted, double share) =>
        sorted.Length == 0 ? null : sorted[Math.Min(sorted.Length - 1, (int)Math.Ceiling(share * sorted.Length) - 1)];
}
