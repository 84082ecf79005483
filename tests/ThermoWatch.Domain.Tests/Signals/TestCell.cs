using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Signals;

/// <summary>Small cells for the tests of conversion: one amplifier with two thermocouples, a gauge, and a second device.</summary>
internal static class TestCell
{
    public static readonly Timestamp Start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));

    public static CellDefinition Of(params ChannelDefinition[] channels) => new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices = [.. channels.GroupBy(channel => channel.Device).Select(device => new DeviceDefinition(
            device.Key, device.Key, TimeSpan.FromSeconds(0.1), [.. device.Select(channel => channel.Point)]))],
        Channels = channels,
    };

    public static ChannelDefinition Channel(string id, ChannelConversion conversion, string device = "amplifier") => new()
    {
        Id = id,
        Name = id,
        Role = ChannelRole.Auxiliary,
        Device = device,
        Point = id + ".raw",
        Conversion = conversion,
    };

    public static ChannelDefinition TypeK(string id, ColdJunctionSource coldJunction, string device = "amplifier") => Channel(
        id, new ChannelConversion { Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = coldJunction }, device);

    public static ChannelDefinition ColdJunction(string device = "amplifier") =>
        Channel("cj", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius }, device);

    public static RawScan Scan(double seconds, params double[] values) => Scan(0, seconds, values);

    public static RawScan Scan(int device, double seconds, double[] values) =>
        new(device, Start.AddSeconds(seconds), values, new SignalQuality[values.Length]);

    public static RawScan Scan(double seconds, params (double Value, SignalQuality Quality)[] points) => new(
        0, Start.AddSeconds(seconds), [.. points.Select(point => point.Value)], [.. points.Select(point => point.Quality)]);
}
