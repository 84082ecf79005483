using System.Buffers.Binary;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Live;

/// <summary>Packs the readings of one scan as <see cref="ScanFrame.Data"/> describes.</summary>
internal sealed class FramePacker
{
    private const int NotInThisScan = 3;
    private readonly int _cell;
    private readonly int[] _deviceOfChannel;

    public FramePacker(CellDefinition cell)
    {
        _cell = cell.Number;
        _deviceOfChannel = DeviceOfEachChannel(cell);
    }

    /// <summary>Place in the cell's list of the device that measures each channel.</summary>
    public static int[] DeviceOfEachChannel(CellDefinition cell)
    {
        List<string> devices = [.. cell.Devices.Select(d => d.Id)];
        return [.. cell.Channels.Select(c => devices.IndexOf(c.Device))];
    }

    public ScanFrame Pack(long sequence, RawScan scan, ReadOnlySpan<Reading> readings)
    {
        int channels = _deviceOfChannel.Length;
        byte[] data = new byte[(4 * channels) + ((channels + 3) / 4)];
        for (int i = 0; i < channels; i++)
        {
            bool inScan = _deviceOfChannel[i] == scan.DeviceIndex;
            int bits = inScan ? (int)readings[i].Quality.Level : NotInThisScan;
            float value = inScan && readings[i].Quality.HasValue ? (float)readings[i].Value : float.NaN;
            BinaryPrimitives.WriteSingleLittleEndian(data.AsSpan(4 * i), value);
            data[(4 * channels) + (i / 4)] |= (byte)(bits << (2 * (i % 4)));
        }

        return new ScanFrame { Cell = _cell, Seq = sequence, T = scan.Time.ToUnixMilliseconds(), Data = data };
    }

    /// <summary>Calls a channel's reading in a frame that nobody has yet uncertain; false if the frame has none with a value.</summary>
    public bool Doubt(ScanFrame frame, int channel)
    {
        ref byte bits = ref frame.Data[(4 * _deviceOfChannel.Length) + (channel / 4)];
        int shift = 2 * (channel % 4);
        if (((bits >> shift) & NotInThisScan) > (int)Quality.Uncertain)
        {
            return false;
        }

        bits = (byte)((bits & ~(NotInThisScan << shift)) | ((int)Quality.Uncertain << shift));
        return true;
    }
}
