using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Tests;

/// <summary>A small cell and its scans.</summary>
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
    public static ScanItem Scan(CellDefinition cell, long sequence)
    {
        Timestamp time = TimeOf(sequence);
        return new ScanItem(
            cell, sequence, time, [.. Enumerable.Range(0, cell.Channels.Count)],
            [.. Enumerable.Range(0, cell.Channels.Count).Select(i => new Reading(time, sequence + (i * 0.001), SignalQuality.Good))]);
    }
}
