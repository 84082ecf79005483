using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Benchmarks;

/// <summary>Limits held against every scan, quality checked, nothing broken: what alarms cost while all is well.</summary>
/// <remarks>Peers, over the same readings and limits: a plain array of structs, and one object a rule with a virtual call.</remarks>
internal static class AlarmBenchmarks
{
    private const int Channels = 100;
    private const int Scans = 400;
    private const int Rounds = 15;

    public static void Run()
    {
        foreach (int perChannel in (int[])[100, 10, 2])
        {
            int rules = Channels * perChannel;
            Reading[][] scans = MakeScans();
            Func<long> ours = Ours(scans, perChannel), structs = Structs(scans, perChannel), objects = Objects(scans, perChannel);
            if (ours() != 0 || structs() != 0 || objects() != 0)
            {
                throw new InvalidOperationException("A limit was broken: the benchmark measures something else.");
            }

            double own = Median(ours, rules), plain = Median(structs, rules), virtuals = Median(objects, rules);
            string what = string.Create(CultureInfo.InvariantCulture, $"alarm condition a scan, {rules} on {Channels} channels");
            Line($"{what}, vs a struct array", own, plain);
            Line($"{what}, vs one object a rule", own, virtuals);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what}, share of a core at 10 Hz\t{own * rules * 10 / 1e7:G3}\t%\t-\t-"));
        }
    }

    private static Func<long> Ours(Reading[][] scans, int perChannel)
    {
        ChannelTrack[] tracks = [.. Enumerable.Range(0, Channels).Select(i => new ChannelTrack(i, Channel(i), TimeSpan.TicksPerSecond / 10, TimeSpan.TicksPerSecond, 16))];
        var behaviour = new AlarmBehaviour(AlarmPriority.High, TimeSpan.TicksPerSecond, 0, false, null);
        (int Channel, ChannelTrack Track, Alarm Alarm)[] watched =
            [.. Enumerable.Range(0, Channels * perChannel).Select(i => (i / perChannel, tracks[i / perChannel], new Alarm("limit", $"{i}", null, behaviour)))];
        var table = new LevelTable(Channels, watched);
        List<EngineEvent> events = [];
        for (int i = 0; i < watched.Length; i++)
        {
            table.Set(watched[i].Alarm, new Level(LimitOf(i), Upper: true, 1), default, events);
        }

        return () =>
        {
            foreach (Reading[] scan in scans)
            {
                for (int channel = 0; channel < Channels; channel++)
                {
                    ref Reading reading = ref scan[channel];
                    if (MayBeJudged(reading.Quality))
                    {
                        table.Check(channel, reading.Time.UtcTicks, reading.Value, events);
                    }
                }
            }

            return events.Count;
        };
    }

    private static Func<long> Structs(Reading[][] scans, int perChannel)
    {
        Plain[] rules = [.. Enumerable.Range(0, Channels * perChannel).Select(i => new Plain { Channel = i / perChannel, Limit = LimitOf(i) })];
        return () =>
        {
            long raised = 0;
            foreach (Reading[] scan in scans)
            {
                for (int i = 0; i < rules.Length; i++)
                {
                    ref Plain rule = ref rules[i];
                    ref Reading reading = ref scan[rule.Channel];
                    if (MayBeJudged(reading.Quality) && reading.Value > rule.Limit != rule.Active)
                    {
                        rule.Active = !rule.Active;
                        raised++;
                    }
                }
            }

            return raised;
        };
    }

    private static Func<long> Objects(Reading[][] scans, int perChannel)
    {
        Rule[] rules = [.. Enumerable.Range(0, Channels * perChannel).Select(i => (Rule)(i % 2 == 0 ? new Above(i / perChannel, LimitOf(i)) : new AboveToo(i / perChannel, LimitOf(i))))];
        return () =>
        {
            long raised = 0;
            foreach (Reading[] scan in scans)
            {
                foreach (Rule rule in rules)
                {
                    raised += rule.Changes(scan) ? 1 : 0;
                }
            }

            return raised;
        };
    }

    private static bool MayBeJudged(SignalQuality quality) => quality.Level == Quality.Good
        || (quality.Level == Quality.Uncertain && quality.Reason is QualityReason.UnderRange or QualityReason.OverRange);

    private static double LimitOf(int rule) => 245 + (rule % 7);

    private static Reading[][] MakeScans()
    {
        var random = new Random(1);
        return
        [
            .. Enumerable.Range(0, Scans).Select(s => Enumerable.Range(0, Channels).Select(_ => random.Next(50) == 0
                ? Reading.Bad(new Timestamp(s * TimeSpan.TicksPerSecond / 10), QualityReason.OpenCircuit)
                : new Reading(new Timestamp(s * TimeSpan.TicksPerSecond / 10), 25 + (random.NextDouble() * 215), SignalQuality.Good)).ToArray()),
        ];
    }

    private static ChannelDefinition Channel(int i) => new()
    {
        Id = $"tc{i}",
        Name = $"tc{i}",
        Role = ChannelRole.Product,
        Device = "d",
        Point = $"{i}",
        Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
    };

    private static double Median(Func<long> work, int rules)
    {
        for (int warm = 0; warm < 5; warm++)
        {
            work();
        }

        double[] nanoseconds = new double[Rounds];
        for (int i = 0; i < Rounds; i++)
        {
            long started = Stopwatch.GetTimestamp();
            work();
            nanoseconds[i] = Stopwatch.GetElapsedTime(started).TotalSeconds * 1e9 / Scans / rules;
        }

        return nanoseconds.Order().ElementAt(Rounds / 2);
    }

    private static void Line(string name, double ours, double peer) =>
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name}\t{ours:G3}\tns\t{peer:G3}\t{peer / ours:G3}"));

    private struct Plain
    {
        public int Channel;
        public double Limit;
        public bool Active;
    }

    private abstract class Rule(int channel, double limit)
    {
        private bool _active;

        public bool Changes(Reading[] scan)
        {
            ref Reading reading = ref scan[channel];
            if (!MayBeJudged(reading.Quality) || IsBroken(reading.Value, limit) == _active)
            {
                return false;
            }

            _active = !_active;
            return true;
        }

        protected abstract bool IsBroken(double value, double limit);
    }

    private sealed class Above(int channel, double limit) : Rule(channel, limit)
    {
        protected override bool IsBroken(double value, double limit) => value > limit;
    }

    private sealed class AboveToo(int channel, double limit) : Rule(channel, limit)
    {
        protected override bool IsBroken(double value, double limit) => !(value <= limit);
    }
}
