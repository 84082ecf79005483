using System.Numerics;
using System.Runtime.InteropServices;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>A limit that a channel's values are held against, one by one.</summary>
/// <param name="Limit">In the channel's unit.</param>
/// <param name="Upper">Whether a value above it breaks it; else one below.</param>
/// <param name="Deadband">How far a value must come back: in the channel's unit at least, in decades of a pressure.</param>
/// <param name="Run">Number of the run concerned; null if none.</param>
internal readonly record struct Level(double Limit, bool Upper, double Deadband, long? Run = null)
{
    /// <summary>Beyond this the condition is another one, such as the vent after a hold; infinite if there is no such value.</summary>
    public double Cap { get; init; } = Upper ? double.PositiveInfinity : double.NegativeInfinity;

    /// <summary>Figure whose limit it is; null if it is none's.</summary>
    public string? Figure { get; init; }

    /// <summary>The state stays as it is: what the value says now would mean something else.</summary>
    public bool Frozen { get; init; }
}

/// <summary>All limits that values are held against at once, reading by reading.</summary>
/// <remarks>
/// Nearly every reading says nothing new. So each limit keeps a band in which nothing can change, all bands of a channel lie side by
/// side, and one comparison of vectors passes over several of them. A reading that may not be judged never comes here, and a NaN lies
/// in no band's outside: a value that is not known moves no alarm.
/// </remarks>
internal sealed class LevelTable
{
    private readonly int[] _first;
    private readonly double[] _low;
    private readonly double[] _high;
    private readonly Rule[] _rules;
    private readonly Dictionary<Alarm, int> _places;

    /// <param name="channels">Number of channels.</param>
    /// <param name="watched">Each alarm with the index of the channel whose values move it, at most one channel an alarm.</param>
    public LevelTable(int channels, IEnumerable<(int Channel, ChannelTrack Track, Alarm Alarm)> watched)
    {
        (int Channel, ChannelTrack Track, Alarm Alarm)[] sorted = [.. watched.OrderBy(w => w.Channel)];
        _rules = [.. sorted.Select(w => new Rule(w.Track, w.Alarm))];
        _low = [.. sorted.Select(_ => double.NegativeInfinity)];
        _high = [.. sorted.Select(_ => double.PositiveInfinity)];
        _first = [.. Enumerable.Range(0, channels + 1).Select(c => sorted.Count(w => w.Channel < c))];
        _places = sorted.Select((w, i) => (w.Alarm, i)).ToDictionary(x => x.Alarm, x => x.i);
    }

    /// <summary>Holds a channel's newest judged value against its limits.</summary>
    public void Check(int channel, long ticks, double value, List<EngineEvent> events)
    {
        int end = _first[channel + 1];
        for (int i = NextOutside(_first[channel], end, value); i < end; i = NextOutside(i + 1, end, value))
        {
            Judge(i, ticks, value, events);
        }
    }

    /// <summary>Puts a limit in force, moves it, or lifts it (null): then the condition no longer holds.</summary>
    public void Set(Alarm alarm, Level? level, Timestamp now, List<EngineEvent> events)
    {
        int i = _places[alarm];
        ref Rule rule = ref _rules[i];
        if (rule.Level == level)
        {
            return;
        }

        rule.Level = level;
        if (level is null && (alarm.Holds || alarm.IsWaiting))
        {
            alarm.Break();
            alarm.Follow(holds: false, now, new Finding(Run: alarm.Run), events);
        }

        SetBand(i, alarm);
    }

    /// <summary>What is in force for an alarm; null if nothing is.</summary>
    public Level? Of(Alarm alarm) => _rules[_places[alarm]].Level;

    public void Save(BinaryWriter writer)
    {
        writer.Write(_rules.Length);
        foreach (Rule rule in _rules)
        {
            writer.Write(rule.Alarm.Id);
            writer.Write(rule.LastTicks);
            writer.Write(rule.Level is not null);
            if (rule.Level is { } level)
            {
                writer.Write(level.Limit);
                writer.Write(level.Upper);
                writer.Write(level.Deadband);
                writer.Write(level.Run ?? long.MinValue);
                writer.Write(level.Cap);
                writer.Write(level.Figure ?? "");
                writer.Write(level.Frozen);
            }
        }
    }

    /// <summary>Reads what <see cref="Save"/> wrote, once the alarms have their state; a limit of an alarm that is gone is passed over.</summary>
    public void Load(BinaryReader reader)
    {
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            string id = reader.ReadString();
            long last = reader.ReadInt64();
            Level? level = null;
            if (reader.ReadBoolean())
            {
                (double limit, bool upper, double deadband) = (reader.ReadDouble(), reader.ReadBoolean(), reader.ReadDouble());
                long run = reader.ReadInt64();
                double cap = reader.ReadDouble();
                string figure = reader.ReadString();
                level = new Level(limit, upper, deadband, run == long.MinValue ? null : run)
                {
                    Cap = cap,
                    Figure = figure.Length == 0 ? null : figure,
                    Frozen = reader.ReadBoolean(),
                };
            }

            int i = Array.FindIndex(_rules, r => r.Alarm.Id == id);
            if (i >= 0)
            {
                (_rules[i].LastTicks, _rules[i].Level) = (last, level);
                SetBand(i, _rules[i].Alarm);
            }
        }
    }

    /// <summary>Index of the next limit that the value says something about; the end if there is none.</summary>
    private int NextOutside(int from, int end, double value)
    {
        int i = from;
        int width = Vector<double>.Count;
        if (end - i >= width)
        {
            var values = new Vector<double>(value);
            ref double low = ref MemoryMarshal.GetArrayDataReference(_low);
            ref double high = ref MemoryMarshal.GetArrayDataReference(_high);
            for (; i <= end - width; i += width)
            {
                Vector<long> outside = Vector.LessThan(values, Vector.LoadUnsafe(ref low, (nuint)i))
                    | Vector.GreaterThan(values, Vector.LoadUnsafe(ref high, (nuint)i));
                if (outside != Vector<long>.Zero)
                {
                    break;
                }
            }
        }

        while (i < end && !(value < _low[i] || value > _high[i]))
        {
            i++;
        }

        return i;
    }

    private void Judge(int i, long ticks, double value, List<EngineEvent> events)
    {
        ref Rule rule = ref _rules[i];
        if (rule.Level is not { } level)
        {
            return;
        }

        Alarm alarm = rule.Alarm;
        if (ticks - rule.LastTicks > rule.Track.GapTicks)
        {
            alarm.Break();
        }

        rule.LastTicks = ticks;
        double past = level.Upper ? value - level.Limit : level.Limit - value;
        bool holds = alarm.Holds ? level.Upper ? value >= ClearAt(rule, level) : value <= ClearAt(rule, level)
            : past > 0 && (level.Upper ? value <= level.Cap : value >= level.Cap);
        alarm.Follow(holds, new Timestamp(ticks), new Finding(value, level.Limit, Run: level.Run) { Figure = level.Figure }, events);
        SetBand(i, alarm);
    }

    private static double ClearAt(in Rule rule, in Level level)
    {
        if (rule.Track.Definition.Unit == MeasuredUnit.Millibar)
        {
            return level.Limit * Math.Pow(10, level.Upper ? -level.Deadband : level.Deadband);
        }

        double deadband = Math.Max(level.Deadband, Defaults.DeadbandSigmas * rule.Track.NoiseSigma);
        return level.Limit + (level.Upper ? -deadband : deadband);
    }

    /// <summary>Sets the band of values that change nothing; while a delay runs it is empty, as then every reading counts.</summary>
    private void SetBand(int i, Alarm alarm)
    {
        (double low, double high) = (double.NegativeInfinity, double.PositiveInfinity);
        if (_rules[i].Level is { Frozen: false } level)
        {
            if (alarm.IsWaiting)
            {
                (low, high) = (high, low);
            }
            else if (!alarm.Holds)
            {
                (low, high) = level.Upper ? (low, level.Limit) : (level.Limit, high);
            }
            else
            {
                // At least so far must it come back; noise may ask for more, which is looked at then.
                double least = _rules[i].Track.Definition.Unit == MeasuredUnit.Millibar
                    ? ClearAt(_rules[i], level) : level.Limit + (level.Upper ? -level.Deadband : level.Deadband);
                double worst = alarm.Worst ?? level.Limit;
                (low, high) = level.Upper ? (least, worst) : (worst, least);
            }
        }

        (_low[i], _high[i]) = (low, high);
    }

    private struct Rule(ChannelTrack track, Alarm alarm)
    {
        public ChannelTrack Track = track;
        public Alarm Alarm = alarm;
        public Level? Level;
        public long LastTicks = long.MinValue / 2;
    }
}
