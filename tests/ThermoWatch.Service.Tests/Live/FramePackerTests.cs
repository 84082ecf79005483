using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Live;

public sealed class FramePackerTests
{
    [Fact]
    public void A_frame_holds_floats_in_channel_order_and_then_two_quality_bits_each()
    {
        var packer = new FramePacker(Cell(devices: 2, channels: 6));
        var time = new Timestamp(DateTimeOffset.UnixEpoch.UtcTicks + 15_000);
        Reading[] readings =
        [
            new(time, 25.5, SignalQuality.Good), new(time, 1, SignalQuality.Good),
            new(time, 250, SignalQuality.Uncertain(QualityReason.Spike)), new(time, 1, SignalQuality.Good),
            Reading.Bad(time, QualityReason.OpenCircuit), new(time, 1, SignalQuality.Good),
        ];
        ScanFrame frame = packer.Pack(7, new RawScan(0, time, new double[3], new SignalQuality[3]), readings);
        Assert.Equal((1, 7L, 1.5), (frame.Cell, frame.Seq, frame.T));
        Assert.Equal((4 * 6) + 2, frame.Data.Length);
        Assert.Equal(25.5f, BitConverter.ToSingle(frame.Data, 0));
        Assert.Equal(250f, BitConverter.ToSingle(frame.Data, 8));
        Assert.True(float.IsNaN(BitConverter.ToSingle(frame.Data, 16)), "a bad reading is no number");
        Assert.True(float.IsNaN(BitConverter.ToSingle(frame.Data, 4)), "a channel of another device is not in this scan");
        Assert.Equal([0, 3, 1, 3, 2, 3], Enumerable.Range(0, 6).Select(i => (frame.Data[24 + (i / 4)] >> (2 * (i % 4))) & 3));
    }

    /// <summary>Channels take turns among the devices.</summary>
    private static CellDefinition Cell(int devices, int channels) => new()
    {
        Number = 1,
        Name = "Cell",
        Carriers = ["A"],
        Devices = [.. Enumerable.Range(0, devices).Select(d => new DeviceDefinition($"d{d}", $"d{d}", TimeSpan.FromMilliseconds(100), [.. Enumerable.Range(0, channels).Where(c => c % devices == d).Select(c => $"p{c}")]))],
        Channels = [.. Enumerable.Range(0, channels).Select(c => new ChannelDefinition
        {
            Id = $"c{c}",
            Name = $"c{c}",
            Role = ChannelRole.Product,
            Device = $"d{c % devices}",
            Point = $"p{c}",
            Conversion = new() { Unit = MeasuredUnit.DegreeCelsius },
        })],
    };
}
