using CsCheck;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Publishing;

namespace ThermoWatch.Service.Tests.Publishing;

/// <summary>What a feed reads of a journal is what was live, wherever it begins and however the journal lies on disk.</summary>
public sealed class JournalLaneTests : IDisposable
{
    private const int Entries = 600;
    private static readonly Timestamp Start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));

    private static readonly CellDefinition Cell = new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("amp", "amplifier", TimeSpan.FromSeconds(0.1), ["emf"]), new DeviceDefinition("cj", "terminal block", TimeSpan.FromSeconds(2), ["t"])],
        Channels =
        [
            new ChannelDefinition
            {
                Id = "tc1", Name = "tc1", Role = ChannelRole.Product, Carrier = "A", Device = "amp", Point = "emf",
                Conversion = new ChannelConversion { Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("block") },
            },
            new ChannelDefinition
            {
                Id = "block", Name = "block", Role = ChannelRole.ColdJunction, Device = "cj", Point = "t",
                Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
            },
        ],
    };

    private readonly string _folder = Directory.CreateTempSubdirectory("lane").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void However_it_is_read_the_readings_are_those_that_were_live()
    {
        using CellJournal journal = Record(sealEvery: 97);
        Dictionary<long, Reading> live = Live();
        var lane = new JournalLane(1, journal);
        Assert.Equal(Entries, lane.End);
        Gen.Select(Gen.Int[1, 90].Array[1, 40], Gen.Int[0, Entries - 1]).Sample((batches, after) =>
        {
            using IFeedReader reader = lane.Open();
            long at = after;
            List<ScanItem> items = [];
            for (int i = 0; at < lane.End; i++)
            {
                FeedBatch batch = reader.Read(at, lane.End, batches[i % batches.Length]);
                Assert.True(batch.Through > at);
                at = batch.Through;
                items.AddRange(batch.Items.Cast<ScanItem>());
            }

            Assert.Equal(live.Keys.Where(n => n > after), items.Select(i => i.Sequence));
            Assert.All(items, i => Assert.Equal(live[i.Sequence], i.Readings[0]));
        }, iter: 60);
    }

    [Fact]
    public void What_became_of_a_device_stands_between_its_scans()
    {
        using CellJournal journal = CellJournal.Open(_folder, Cell, TimeProvider.System, new JournalOptions { SealInBackground = false });
        journal.Append(Input(1));
        journal.Append(new DeviceStateInput(Start.AddSeconds(0.2), 0, DeviceState.Down, "No answer."));
        journal.Append(new DeviceStateInput(Start.AddSeconds(0.3), 0, DeviceState.Up, ""));
        journal.Append(Input(4));
        using IFeedReader reader = new JournalLane(1, journal).Open();
        FeedBatch batch = reader.Read(0, 4, 100);
        Assert.Equal(4, batch.Through);
        Assert.Equal(
            ["scan 1", "0 Down", "0 Up", "scan 4"],
            batch.Items.Select(i => i is DeviceItem device ? $"{device.Device} {device.State}" : $"scan {((ScanItem)i).Sequence}"));
        Assert.Equal(Start.AddSeconds(0.2), batch.Items[1].Time);
    }

    [Fact]
    public void A_reader_sees_what_is_recorded_and_sealed_while_it_reads()
    {
        using CellJournal journal = CellJournal.Open(_folder, Cell, TimeProvider.System, new JournalOptions { SealInBackground = false });
        var lane = new JournalLane(1, journal);
        using IFeedReader reader = lane.Open();
        long at = 0;
        List<long> seen = [];
        for (int i = 0; i < Entries; i++)
        {
            journal.Append(Input(i));
            if (i % 50 == 20)
            {
                journal.CloseSegment();
                journal.SealClosed();
            }

            if (i % 7 == 3)
            {
                FeedBatch batch = reader.Read(at, lane.End, 5);
                at = batch.Through;
                seen.AddRange(batch.Items.Cast<ScanItem>().Select(item => item.Sequence));
            }
        }

        while (at < lane.End)
        {
            FeedBatch batch = reader.Read(at, lane.End, 50);
            Assert.True(batch.Through > at);
            at = batch.Through;
            seen.AddRange(batch.Items.Cast<ScanItem>().Select(item => item.Sequence));
        }

        Assert.Equal(Live().Keys, seen);
    }

    [Fact]
    public void A_span_holds_every_entry_of_its_time()
    {
        using CellJournal journal = Record(sealEvery: 50);
        (long after, long through) = new JournalLane(1, journal).Span(Start.AddSeconds(10), Start.AddSeconds(15));
        Assert.InRange(after, 50, 100);
        Assert.InRange(through, 151, 250);
    }

    private CellJournal Record(int sealEvery)
    {
        CellJournal journal = CellJournal.Open(_folder, Cell, TimeProvider.System, new JournalOptions { SealInBackground = false });
        for (int i = 0; i < Entries; i++)
        {
            journal.Append(Input(i));
            if (i % sealEvery == sealEvery - 1)
            {
                journal.CloseSegment();
                if (i < Entries / 2)
                {
                    journal.SealClosed(); // the first half is sealed, the second lies in files
                }
            }
        }

        return journal;
    }

    /// <summary>Ten thermocouple scans a second, a terminal block that warms every two seconds, a tick now and then.</summary>
    private static EngineInput Input(int i)
    {
        Timestamp time = Start.AddSeconds(i * 0.1);
        return i % 20 == 0 ? new ScanInput(new RawScan(1, time, [20 + (i * 0.01)], [SignalQuality.Good]))
            : i % 31 == 5 ? new TickInput(time)
            : new ScanInput(new RawScan(0, time, [1 + (i * 0.01)], [SignalQuality.Good]));
    }

    private static Dictionary<long, Reading> Live()
    {
        var converter = new CellConverter(Cell);
        var readings = new Reading[2];
        Dictionary<long, Reading> live = [];
        for (int i = 0; i < Entries; i++)
        {
            if (Input(i) is ScanInput { Scan: var scan })
            {
                converter.Convert(scan, readings);
                live.Add(i + 1, readings[scan.DeviceIndex]);
            }
        }

        return live;
    }
}
