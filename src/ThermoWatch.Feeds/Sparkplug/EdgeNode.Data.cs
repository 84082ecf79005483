using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Items of the record as data, births and deaths of devices.</summary>
internal sealed partial class EdgeNode
{
    private const int MostReadings = 500;
    private const int GoodQuality = 192, BadQuality = 0;

    private static readonly (string Name, SparkplugType Type)[] EventMetrics =
    [
        ("Run/Number", SparkplugType.Int64), ("Run/Open", SparkplugType.Boolean), ("Run/Carrier", SparkplugType.String), ("Run/Verdict", SparkplugType.String),
        ("Alarm/Id", SparkplugType.String), ("Alarm/State", SparkplugType.String), ("Alarm/Priority", SparkplugType.String),
    ];

    /// <summary>
    /// What a batch gives to say, in order for each device. Taken one by one: a birth may come in between, and what follows counts on from it.
    /// Channels that no birth has told of must have been learnt before.
    /// </summary>
    /// <remarks>
    /// A device that went down dies, and its next answer gives it birth. What is older than the session may be undone by what follows it in the
    /// record, so it is told only when the present is reached (<see cref="Settle"/>).
    /// </remarks>
    public IEnumerable<SparkplugMessage> Data(FeedBatch batch, Func<ulong> nowMs)
    {
        List<Waiting> waiting = [];
        foreach (FeedItem item in batch.Items)
        {
            bool live = !batch.IsHistorical && Milliseconds(item.Time) >= _bornMs;
            if (DeviceOf(item) is not { } device)
            {
                continue; // an instrument without channels
            }

            Waiting of = waiting.Find(w => w.Device == device) ?? Add(waiting, device);
            if (item is DeviceItem change)
            {
                device.Answers = batch.IsHistorical ? device.Answers : change.State != DeviceState.Down && (device.Answers || change.State == DeviceState.Up);
                if (live && device is { Answers: false, IsBorn: true })
                {
                    foreach (SparkplugMessage message in Flush(of, batch.IsHistorical, nowMs))
                    {
                        yield return message;
                    }

                    yield return Death(device, nowMs());
                }

                continue;
            }

            if (item is ScanItem scan && !batch.IsHistorical)
            {
                bool answers = scan.Readings.Any(r => r.Quality.Reason is not (QualityReason.NoCommunication or QualityReason.NoReading or QualityReason.Garbled));
                device.Answers |= answers;
                if (live && !device.IsBorn)
                {
                    if (!answers)
                    {
                        continue; // its death has said so
                    }

                    _ = Values(scan, device, past: false).ToArray(); // the birth tells the values that it comes with
                    yield return Birth(device, Milliseconds(scan.Time), nowMs());
                }
            }

            if (of.Weight >= MostReadings || !of.Times.Add((item.GetType(), Milliseconds(item.Time))))
            {
                foreach (SparkplugMessage message in Flush(of, batch.IsHistorical, nowMs))
                {
                    yield return message;
                }

                of.Times.Add((item.GetType(), Milliseconds(item.Time)));
            }

            of.Items.Add(item);
            of.Weight += item.Weight;
            if (live)
            {
                foreach (SparkplugMessage message in waiting.Where(w => w.Device is { Answers: false, IsBorn: true }).SelectMany(w => Flush(w, batch.IsHistorical, nowMs)).Concat(Settle(item.Cell, nowMs)))
                {
                    yield return message;
                }
            }
        }

        foreach (SparkplugMessage message in waiting.SelectMany(of => Flush(of, batch.IsHistorical, nowMs)))
        {
            yield return message;
        }
    }

    /// <summary>Deaths and births that the past has left to be told, now that the present is reached.</summary>
    /// <param name="cell">Of one cell; null: of all.</param>
    /// <param name="nowMs">The time, ms since 1970.</param>
    public IEnumerable<SparkplugMessage> Settle(int? cell, Func<ulong> nowMs)
    {
        foreach (((int of, _), SparkplugDevice device) in _find)
        {
            if ((cell is null || cell == of) && device.Answers != device.IsBorn)
            {
                yield return device.Answers ? Birth(device, nowMs(), nowMs()) : Death(device, nowMs());
            }
        }
    }

    /// <summary>What has gathered for a device, as one message. The past of a silent device is told between a birth, all stale, and a death.</summary>
    private IEnumerable<SparkplugMessage> Flush(Waiting of, bool historical, Func<ulong> nowMs)
    {
        if (of.Items.Count == 0)
        {
            yield break;
        }

        bool silent = !of.Device.IsBorn;
        if (silent)
        {
            yield return Birth(of.Device, nowMs(), nowMs());
        }

        List<SparkplugMetric> metrics = [.. of.Items.SelectMany(item => Values(item, of.Device, historical || Milliseconds(item.Time) < of.Device.BornMs)).OrderBy(m => m.TimestampMs)];
        of.Clear();
        yield return new SparkplugMessage(Topic("DDATA", of.Device.Id), SparkplugCodec.Encode(new SparkplugPayload { TimestampMs = nowMs(), Metrics = metrics, Seq = NextSeq() }));
        if (silent && !of.Device.Answers)
        {
            yield return Death(of.Device, nowMs());
        }
    }

    private SparkplugDevice? DeviceOf(FeedItem item) => item switch
    {
        ScanItem { Channels.Length: > 0 } scan => Device(item.Cell, scan.Definition.Channels[scan.Channels[0]].Device),
        ScanItem => null,
        DeviceItem device => device.Device < device.Definition.Devices.Count ? _find.GetValueOrDefault((item.Cell, device.Definition.Devices[device.Device].Id)) : null,
        _ => Device(item.Cell, null),
    };

    private static IEnumerable<SparkplugMetric> Values(FeedItem item, SparkplugDevice device, bool past)
    {
        ulong time = Milliseconds(item.Time);
        switch (item)
        {
            case ScanItem scan:
                for (int i = 0; i < scan.Channels.Length; i++)
                {
                    yield return Value(scan.Definition.Channels[scan.Channels[i]].Id, Of(scan.Readings[i]));
                }

                break;
            case RunItem { Run: var run }:
                yield return Value("Run/Number", new SparkplugMetric { LongValue = (ulong)run.Number });
                yield return Value("Run/Open", new SparkplugMetric { BooleanValue = run.End is null });
                yield return Value("Run/Carrier", new SparkplugMetric { StringValue = run.Carrier });
                yield return Value("Run/Verdict", run.Verdict is { } verdict ? new SparkplugMetric { StringValue = verdict.ToString() } : new SparkplugMetric { IsNull = true });
                break;
            case AlarmItem { Alarm: var alarm }:
                yield return Value("Alarm/Id", new SparkplugMetric { StringValue = alarm.AlarmId });
                yield return Value("Alarm/State", new SparkplugMetric { StringValue = alarm.State.ToString() });
                yield return Value("Alarm/Priority", new SparkplugMetric { StringValue = alarm.Priority.ToString() });
                break;
        }

        SparkplugMetric Value(string key, SparkplugMetric value)
        {
            SparkplugValue metric = device[key];
            if (!past)
            {
                metric.Take(value with { TimestampMs = time });
            }

            return value with { Alias = metric.Alias, TimestampMs = time, IsHistorical = past };
        }
    }

    private static SparkplugMetric Of(Reading reading) => reading.Quality.Level switch
    {
        Quality.Good when double.IsFinite(reading.Value) => new SparkplugMetric { DoubleValue = reading.Value },
        Quality.Uncertain when double.IsFinite(reading.Value) => new SparkplugMetric
        {
            DoubleValue = reading.Value,
            Properties = [new("Quality", GoodQuality, null), new("Reason", null, reading.Quality.ToString())],
        },
        _ => new SparkplugMetric { IsNull = true, Properties = [new("Quality", BadQuality, null), new("Reason", null, reading.Quality.ToString())] },
    };

    private static Waiting Add(List<Waiting> waiting, SparkplugDevice device)
    {
        var of = new Waiting(device);
        waiting.Add(of);
        return of;
    }

    /// <summary>Items of a device that will be one message. A metric may not have two values of one time in it.</summary>
    private sealed class Waiting(SparkplugDevice device)
    {
        public SparkplugDevice Device => device;

        public List<FeedItem> Items { get; } = [];

        public HashSet<(Type Kind, ulong Ms)> Times { get; } = [];

        public int Weight { get; set; }

        public void Clear()
        {
            Items.Clear();
            Times.Clear();
            Weight = 0;
        }
    }
}
