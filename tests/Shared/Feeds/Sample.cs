using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;

namespace ThermoWatch.Tests.Feeding;

/// <summary>A small cell and its scans, for tests of feeds and for their benchmark.</summary>
internal static class Sample
{
    public static readonly Timestamp Start = Timestamp.From(new DateTimeOffset(2025, 1, 1, 0, 0, 0, TimeSpan.Zero));

    public static CellDefinition Cell(int channels = 2, int number = 1) => new()
    {
        Number = number,
        Name = "Line 1",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("logger", "Logger", TimeSpan.FromMilliseconds(100), [.. Enumerable.Range(1, channels).Select(i => $"p{i}")])],
        Channels = [.. Enumerable.Range(1, channels).Select(i => new ChannelDefinition
        {
            Id = $"tc{i}",
            Name = $"Joint {i}",
            Role = ChannelRole.Product,
            Carrier = "A",
            Device = "logger",
            Point = $"p{i}",
            Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
        })],
    };

    public static Timestamp TimeOf(long sequence) => Start.AddSeconds(sequence * 0.1);

    /// <summary>A scan whose values tell its number and its channel.</summary>
    public static ScanItem Scan(CellDefinition cell, long sequence) =>
        Scan(cell, sequence, [.. Enumerable.Range(0, cell.Channels.Count)], static (sequence, channel) => sequence + (channel * 0.001));

    /// <summary>A scan of chosen values.</summary>
    /// <param name="cell">The cell.</param>
    /// <param name="sequence">Its number, which gives its time.</param>
    /// <param name="channels">Places of the channels; scans of a device share the array.</param>
    /// <param name="value">Value by number and place.</param>
    public static ScanItem Scan(CellDefinition cell, long sequence, int[] channels, Func<long, int, double> value)
    {
        Timestamp time = TimeOf(sequence);
        var readings = new Reading[channels.Length];
        for (int i = 0; i < readings.Length; i++)
        {
            readings[i] = new Reading(time, value(sequence, channels[i]), SignalQuality.Good);
        }

        return new ScanItem(cell, sequence, time, channels, readings);
    }
}
