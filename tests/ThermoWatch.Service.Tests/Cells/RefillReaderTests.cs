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

        Refill all = RefillReader.Read(journal, cell, packer, 0);
        ReadingMark mark = Assert.Single(all.Marks);
        Assert.Equal(("tc1", all.Frames[2].T, "uncertain:spike"), (mark.Channel, mark.T, mark.Quality));
        Assert.Equal(150, BitConverter.ToSingle(all.Frames[2].Data)); // the value stays

        Refill later = RefillReader.Read(journal, cell, packer, afterSequence: 3);
        Assert.Equal([4L, 5L], later.Frames.Select(frame => frame.Seq));
        Assert.Equal(mark, Assert.Single(later.Marks));
        Assert.Empty(RefillReader.Read(journal, cell, packer, afterSequence: 4).Marks);
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

        ScanFrame frame = Assert.Single(RefillReader.Read(journal, cell, new FramePacker(cell), afterSequence: 2).Frames);
        Assert.Equal(245.0, BitConverter.ToSingle(frame.Data), 1e-3);
    }

    [Fact]
    public void Readings_of_another_wiring_are_left_out()
    {
        CellDefinition cell = Cell();
        using CellJournal journal = CellJournal.Open(_folder, cell, TimeProvider.System);
        journal.Append(Scan(0, 0, 100));
        journal.Append(Scan(0, 0.1, 100, 1013));
        Assert.Equal(2, Assert.Single(RefillReader.Read(journal, cell, new FramePacker(cell), 0).Frames).Seq);
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
