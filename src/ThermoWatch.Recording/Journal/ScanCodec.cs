using System.Numerics;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Journal;

/// <summary>Scans to bytes and back, each device's scan leaning on the one before it. FORMAT.md draws the bytes.</summary>
/// <remarks>
/// One of these writes and another reads; both go through the same entries in the same order and forget at the same marks.
/// No file, no clock.
/// </remarks>
internal sealed class ScanCodec
{
    /// <summary>Most points a device may have in the record.</summary>
    public const int MostPoints = 4096;

    /// <summary>A step with a wider difference than this many bits is written as a full scan.</summary>
    private const int WidestStep = 32;

    /// <summary>Zeros behind a scan's bits: bits are taken eight bytes at a time, and up to seven ahead.</summary>
    private const int Padding = 16;

    private readonly Dictionary<int, DeviceMemory> _devices = [];
    private ulong[] _steps = new ulong[64];
    private byte[] _padded = new byte[256];

    /// <summary>Forgets every device: what comes next stands for itself.</summary>
    public void Forget() => _devices.Clear();

    /// <summary>Writes kind and content of a scan.</summary>
    public void Write(ByteSink sink, RawScan scan)
    {
        int count = scan.Values.Length;
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, MostPoints);
        if (!_devices.TryGetValue(scan.DeviceIndex, out DeviceMemory? memory) || memory.Numbers.Length != count || !TryWriteStep(sink, scan, memory))
        {
            WriteFull(sink, scan, memory?.Numbers.Length == count ? memory : null);
        }
    }

    /// <summary>Reads what follows the kind; null if it cannot be understood. What comes back is the device's memory: it moves on with the next.</summary>
    public DeviceMemory? Read(EntryKind kind, ref ByteSource source) =>
        kind == EntryKind.FullScan ? ReadFull(ref source) : ReadStep(ref source);

    private bool TryWriteStep(ByteSink sink, RawScan scan, DeviceMemory memory)
    {
        int count = scan.Values.Length;
        if (!QualityCode.Same(scan.Qualities, memory.Qualities))
        {
            return false;
        }

        Span<ulong> steps = Steps(count);
        if (!memory.TryStepTo(scan.Values, steps, out ulong widest))
        {
            return false;
        }

        if (BitOperations.LeadingZeroCount(widest) < 64 - WidestStep)
        {
            return false;
        }

        sink.Byte((byte)EntryKind.ScanStep);
        sink.VarUInt((ulong)scan.DeviceIndex);
        sink.VarInt(memory.TimeStep(scan.Time.UtcTicks));
        WriteSteps(sink, steps);
        memory.Move(steps);
        return true;
    }

    private void WriteFull(ByteSink sink, RawScan scan, DeviceMemory? before)
    {
        int count = scan.Values.Length;
        var memory = new DeviceMemory(scan.DeviceIndex, count, scan.Time.UtcTicks);
        before?.Forms.CopyTo(memory.Forms, 0);
        if (before is null)
        {
            Array.Fill(memory.Forms, NumberForm.Integer);
        }

        scan.Qualities.CopyTo(memory.Qualities, 0);
        for (int i = 0; i < count; i++)
        {
            memory.Numbers[i] = NumberForms.ToInteger(scan.Values[i], ref memory.Forms[i]);
        }

        memory.FormsAreSet();

        sink.Byte((byte)EntryKind.FullScan);
        sink.VarUInt((ulong)scan.DeviceIndex);
        sink.Int64(scan.Time.UtcTicks);
        sink.VarUInt((ulong)count);
        QualityCode.Write(sink, memory.Qualities);
        foreach (NumberForm form in memory.Forms)
        {
            sink.Byte((byte)form);
        }

        for (int i = 0; i < count; i++)
        {
            WriteNumber(sink, memory.Numbers[i], memory.Forms[i]);
        }

        _devices[scan.DeviceIndex] = memory;
    }

    private DeviceMemory? ReadFull(ref ByteSource source)
    {
        int device = ReadDevice(ref source);
        long time = source.Int64();
        int count = source.Count();
        if (count > MostPoints)
        {
            source.Fail();
            return null;
        }

        var memory = new DeviceMemory(device, count, time);
        QualityCode.Read(ref source, memory.Qualities);
        for (int i = 0; i < count; i++)
        {
            memory.Forms[i] = (NumberForm)source.Byte();
            if (!NumberForms.IsKnown(memory.Forms[i]))
            {
                source.Fail();
            }
        }

        for (int i = 0; i < count; i++)
        {
            memory.Numbers[i] = ReadNumber(ref source, memory.Forms[i]);
        }

        memory.FormsAreSet();

        if (source.Failed || source.Left > 0)
        {
            return null;
        }

        _devices[device] = memory;
        return memory;
    }

    private DeviceMemory? ReadStep(ref ByteSource source)
    {
        int device = ReadDevice(ref source);
        long timeStep = source.VarInt();
        int parameter = source.Byte();
        if (source.Failed || parameter > Rice.WidestParameter || !_devices.TryGetValue(device, out DeviceMemory? memory))
        {
            return null;
        }

        Span<ulong> steps = Steps(memory.Numbers.Length);
        if (!TryReadSteps(source.All(), parameter, steps))
        {
            return null;
        }

        memory.Move(steps);
        memory.MoveTime(timeStep);
        return memory;
    }

    /// <summary>Rice coded: the parameter that makes the fewest bits, then the differences. A noisy scan costs its noise and a little more.</summary>
    private static void WriteSteps(ByteSink sink, ReadOnlySpan<ulong> steps)
    {
        int parameter = Rice.Best(steps, Rice.Weight(steps), Rice.MostZeros + 1 + WidestStep).Parameter;
        sink.Byte((byte)parameter);
        int start = sink.Length;
        var writer = new BitWriter(sink.Take(steps.Length * 8 + 8));
        foreach (ulong step in steps)
        {
            int zeros = unchecked((int)(step >> parameter));
            if (zeros < Rice.MostZeros)
            {
                writer.Put(1UL << zeros | (step & ((1UL << parameter) - 1)) << (zeros + 1), zeros + 1 + parameter);
            }
            else
            {
                writer.Put(1UL << Rice.MostZeros, Rice.MostZeros + 1);
                writer.Put(step, WidestStep);
            }
        }

        sink.CutTo(start + writer.Finish());
    }

    private bool TryReadSteps(ReadOnlySpan<byte> bytes, int parameter, Span<ulong> steps)
    {
        if (_padded.Length < bytes.Length + Padding)
        {
            _padded = new byte[bytes.Length + Padding];
        }

        bytes.CopyTo(_padded);
        _padded.AsSpan(bytes.Length, Padding).Clear();
        var reader = new BitReader(_padded.AsSpan(0, bytes.Length + Padding));
        int bits = 0;
        for (int i = 0; i < steps.Length; i++)
        {
            reader.Fill(); // 24 + 31 bits at most, or 25 + 32
            int zeros = reader.TakeZeros();
            if (zeros < Rice.MostZeros)
            {
                steps[i] = (ulong)zeros << parameter | reader.Take(parameter);
                bits += zeros + 1 + parameter;
            }
            else if (zeros == Rice.MostZeros)
            {
                reader.Fill();
                steps[i] = reader.Take(WidestStep);
                bits += Rice.MostZeros + 1 + WidestStep;
            }
            else
            {
                return false;
            }
        }

        return !reader.Overrun && (bits + 7) / 8 == bytes.Length;
    }

    private static int ReadDevice(ref ByteSource source)
    {
        ulong device = source.VarUInt();
        if (device > int.MaxValue)
        {
            source.Fail();
            return 0;
        }

        return (int)device;
    }

    private static void WriteNumber(ByteSink sink, long number, NumberForm form)
    {
        switch (form)
        {
            case NumberForm.Double:
                sink.Int64(number);
                break;
            case NumberForm.Single:
                sink.UInt32(unchecked((uint)number));
                break;
            default:
                sink.VarInt(number);
                break;
        }
    }

    private static long ReadNumber(ref ByteSource source, NumberForm form) => form switch
    {
        NumberForm.Double => source.Int64(),
        NumberForm.Single => unchecked((int)source.UInt32()),
        _ => source.VarInt(),
    };

    private Span<ulong> Steps(int count)
    {
        if (_steps.Length < count)
        {
            _steps = new ulong[count];
        }

        return _steps.AsSpan(0, count);
    }
}
