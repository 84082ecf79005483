using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Signals.Filters;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Live;

public sealed class FilterBankTests
{
    private static readonly Timestamp s_start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));

    [Fact]
    public void Only_channels_that_ask_have_a_smoothed_value_and_it_names_its_reading()
    {
        CellDefinition cell = Cell();
        var bank = new FilterBank(cell);
        var converter = new CellConverter(cell);
        Reading[] readings = new Reading[3];
        double[] values = [20, 90, 21];
        for (int i = 0; i < values.Length; i++)
        {
            Assert.Empty(bank.ToLive());
            Take(0, i * 0.1, values[i], 5);
            Take(1, (i * 0.1) + 0.05, 7); // the other device's scans do not move it
        }

        FilteredLive filtered = Assert.Single(bank.ToLive());
        Assert.Equal(("tc1", 21.0, "medianOfThree", s_start.AddSeconds(0.1).ToUnixMilliseconds()), (filtered.Channel, filtered.Value, filtered.Filter, filtered.T));

        void Take(int device, double seconds, params double[] numbers)
        {
            RawScan scan = new(device, s_start.AddSeconds(seconds), numbers, new SignalQuality[numbers.Length]);
            converter.Convert(scan, readings);
            bank.Take(scan, readings);
        }
    }

    [Fact]
    public void Beside_a_hole_there_is_no_smoothed_value()
    {
        var bank = new FilterBank(Cell());
        RawScan scan = new(0, s_start, [0, 0], new SignalQuality[2]);
        Reading good = new(s_start, 20, SignalQuality.Good);
        Reading bad = Reading.Bad(s_start, QualityReason.OpenCircuit);
        foreach (Reading reading in new[] { good, bad, good }) bank.Take(scan, [reading, good, good]);
        Assert.Empty(bank.ToLive());
    }

    private static CellDefinition Cell() => new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("amp", "amp", TimeSpan.FromSeconds(0.1), ["p0", "p1"]), new DeviceDefinition("box", "box", TimeSpan.FromSeconds(0.1), ["p"])],
        Channels =
        [
            Channel("tc1", "amp", "p0") with { Filter = new FilterDefinition(FilterKind.MedianOfThree) },
            Channel("tc2", "amp", "p1"),
            Channel("tc3", "box", "p"),
        ],
    };

    private static ChannelDefinition Channel(string id, string device, string point) => new()
    {
        Id = id,
        Name = id,
        Role = ChannelRole.Auxiliary,
        Device = device,
        Point = point,
        Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
    };
}
