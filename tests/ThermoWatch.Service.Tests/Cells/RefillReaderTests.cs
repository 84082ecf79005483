using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Cells;

/// <summary>What a page that comes late gets: the same as one that watched all along.</summary>
public sealed class RefillReaderTests : IDisposable
{
    private static readonly Timestamp s_start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
    private static readonly Func<Timestamp, Timestamp, IReadOnlyList<GapSpan>> s_none = (_, _) => [];
    private readonly string _folder = Directory.CreateTempSubdirectory("refill").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Spike_comes_with_its_mark_also_when_its_follower_is_on_the_next_page()
    {
        CellDefinition cell = Cell();
        using CellJournal journal = CellJournal.Open(_folder, cell, TimeProvider.System);
        double[] values = [100, 101, 150, 102, 103];
        for (int i = 0; i < values.Length; i++) journal.Append(Scan(0, i * 0.1, values[i], 1013));
        FramePacker packer = new(cell);

        Refill all = RefillReader.Read(journal, cell, packer, 0, s_none);
        ReadingMark mark = Assert.Single(all.Marks);
        Assert.Equal(("tc1", all.Frames[2].T, "uncertain:spike"), (mark.Channel, mark.T, mark.Quality));
        Assert.Equal(150, BitConverter.ToSingle(all.Frames[2].Data)); // the value stays

        Refill later = RefillReader.Read(journal, cell, packer, afterSequence: 3, s_none);
        Assert.Equal([4L, 5L], later.Frames.Select(frame => frame.Seq));
        Assert.Equal(mark, Assert.Single(later.Marks));
        Assert.Empty(RefillReader.Read(journal, cell, packer, afterSequence: 4, s_none).Marks);
    }

    [Fact]
    public void First_frame_knows_the_cold_junction_that_was_measured_before_it()
    {
        CellDefinition cell = Cell() with
        {
            Channels =
            [
                Channel("tc1", "amp", "p0", new ChannelConversion
                {
                    Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("cj"),
                }),
                Channel("cj", "box", "p", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius }),
            ],
        };
        using CellJournal journal = CellJournal.Open(_folder, cell, TimeProvider.System);
        journal.Append(Scan(1, 0, 25));
        journal.Append(Scan(0, 0.1, 8.949798, 0));
        journal.Append(Scan(0, 0.2, 8.949798, 0));

        ScanFrame frame = Assert.Single(RefillReader.Read(journal, cell, new FramePacker(cell), afterSequence: 2, s_none).Frames);
        Assert.Equal(245.0, BitConverter.ToSingle(frame.Data), 1e-3);
    }

    [Fact]
    public void Thermocouple_that_had_come_off_is_uncertain_after_its_last_sure_reading_with_one_mark_a_page()
    {
        CellDefinition cell = Cell();
        using CellJournal journal = CellJournal.Open(_folder, cell, TimeProvider.System);
        for (int i = 0; i < 8; i++) journal.Append(Scan(0, i, i == 4 ? double.NaN : 100, 1013));
        FramePacker packer = new(cell);
        List<(Timestamp, Timestamp)> asked = [];
        Refill refill = RefillReader.Read(journal, cell, packer, 2, (from, to) =>
        {
            asked.Add((from, to));
            return [new GapSpan("tc1", s_start.AddSeconds(2), s_start.AddSeconds(6)) { Reason = QualityReason.Detached }, new GapSpan("gone", s_start, null)];
        });

        Assert.Equal([(s_start.AddSeconds(2), s_start.AddSeconds(7))], asked); // only for what it sends
        Assert.Equal([0, 1, 2, 1, 1, 0], refill.Frames.Select(frame => frame.Data[^1] & 3)); // seconds 2 to 7; what is bad stays bad
        Assert.All(refill.Frames, frame => Assert.Equal(0, (frame.Data[^1] >> 2) & 3)); // and nothing is said of the gauge
        ReadingMark mark = Assert.Single(refill.Marks);
        Assert.Equal(("tc1", refill.Frames[1].T, refill.Frames[4].T, "uncertain:detached"), (mark.Channel, mark.T, mark.To, mark.Quality));
    }

    [Fact]
    public void Readings_of_another_wiring_are_left_out()
    {
        CellDefinition cell = Cell();
        using CellJournal journal = CellJournal.Open(_folder, cell, TimeProvider.System);
        journal.Append(Scan(0, 0, 100));
        journal.Append(Scan(0, 0.1, 100, 1013));
        Assert.Equal(2, Assert.Single(RefillReader.Read(journal, cell, new FramePacker(cell), 0, s_none).Frames).Seq);
    }

    private static ScanInput Scan(int device, double seconds, params double[] values) =>
        new(new RawScan(device, s_start.AddSeconds(seconds), values, new SignalQuality[values.Length]));

    private static CellDefinition Cell() => new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices =
        [
            new DeviceDefinition("amp", "amplifier", TimeSpan.FromSeconds(0.1), ["p0", "p1"]),
            new DeviceDefinition("box", "terminals", TimeSpan.FromSeconds(1), ["p"]),
        ],
        Channels =
        [
            Channel("tc1", "amp", "p0", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius }),
            Channel("p", "amp", "p1", new ChannelConversion { Unit = MeasuredUnit.Millibar }),
        ],
    };

    private static ChannelDefinition Channel(string id, string device, string point, ChannelConversion conversion) => new()
    {
        Id = id,
        Name = id,
        Role = ChannelRole.Auxiliary,
        Device = device,
        Point = point,
        Conversion = conversion,
    };
}
