using System.Buffers.Binary;
using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Listens for others on a serial line, which has one master by its rules.</summary>
/// <remarks>
/// A read request that we did not send, or the answer of a unit that we never asked, can only come from another master. Each must be
/// whole with a good check, so that noise is not taken for one.
/// </remarks>
internal sealed class LineEar(ILink link, TimeProvider time, ModbusCounters counters)
{
    /// <summary>So long a disturbance stands after it was last heard: a second master rarely polls less often.</summary>
    private static readonly TimeSpan Memory = TimeSpan.FromSeconds(10);

    /// <summary>Unit, function, address, quantity, check.</summary>
    private const int RequestLength = 8;

    private readonly byte[] _ours = new byte[RequestLength];
    private readonly bool[] _asked = new bool[256];
    private long _heardAt;
    private string? _what;

    /// <summary>What was heard, if it was heard a short while ago.</summary>
    public string? Disturbance => _what is not null && time.GetElapsedTime(_heardAt) < Memory ? _what : null;

    /// <summary>We sent this.</summary>
    public void Sent(byte unit, ReadOnlySpan<byte> frame)
    {
        _asked[unit] = true;
        frame[..Math.Min(frame.Length, RequestLength)].CopyTo(_ours);
    }

    /// <summary>Looks through bytes that answer nothing of ours.</summary>
    public void Hear(ReadOnlySpan<byte> bytes)
    {
        for (int at = 0; at + RequestLength <= bytes.Length; at++)
        {
            ReadOnlySpan<byte> frame = bytes.Slice(at, RequestLength);
            if (!IsReadRequest(frame)) continue;

            // Ours comes back late where a transceiver hears what it sends.
            if (frame.SequenceEqual(_ours) && counters.Echoes > 0) continue;
            Note($"it asks unit {frame[0]} with function {frame[1]:00}");
            return;
        }
    }

    /// <summary>A whole answer came from a unit that owes us none.</summary>
    public void HearReply(byte unit)
    {
        if (!_asked[unit]) Note($"unit {unit} answers, which nobody here asked");
    }

    private void Note(string what)
    {
        counters.Foreign++;
        _heardAt = time.GetTimestamp();
        _what = $"Another master talks on {link.Name}: {what}. Two masters garble each other: end the other program, or take it off the line.";
    }

    private static bool IsReadRequest(ReadOnlySpan<byte> frame)
    {
        int quantity = BinaryPrimitives.ReadUInt16BigEndian(frame[4..]);
        bool plausible = frame[0] <= 247 && frame[1] switch { 1 or 2 => quantity is >= 1 and <= 2000, 3 or 4 => quantity is >= 1 and <= 125, _ => false };
        return plausible && Crc16.Of(frame[..6]) == BinaryPrimitives.ReadUInt16LittleEndian(frame[6..]);
    }
}
