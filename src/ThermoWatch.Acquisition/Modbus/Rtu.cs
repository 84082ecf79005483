using System.Buffers.Binary;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>What stands at the front of bytes received from a serial line.</summary>
public enum RtuStatus
{
    /// <summary>A whole frame with a good check.</summary>
    Whole,

    /// <summary>The beginning of a frame: more must come.</summary>
    NeedMore,

    /// <summary>A frame's length with a wrong check: noise, a wrong baud rate or parity, or two talkers at once.</summary>
    BadCrc,

    /// <summary>No reply begins like this.</summary>
    NotAReply,
}

/// <summary>Frames of Modbus RTU: unit, PDU, CRC. The end is found by length, never by where a check happens to fit.</summary>
/// <remarks>
/// Source: Modbus over Serial Line V1.02, 2.5.1. A good frame followed by one or two zero bytes has a good check at the longer
/// length too, and adapters deliver in blocks of up to 16 ms: neither the check nor a pause can tell where a frame ends.
/// </remarks>
/// <param name="Status">What was found.</param>
/// <param name="Unit">Unit that answers, once whole.</param>
/// <param name="Length">Bytes of the frame, CRC included, once whole.</param>
public readonly record struct Rtu(RtuStatus Status, byte Unit = 0, int Length = 0)
{
    /// <summary>Longest frame.</summary>
    public const int MaxLength = 256;

    /// <summary>Bytes before the PDU.</summary>
    public const int HeaderLength = 1;

    /// <summary>Bytes of the CRC.</summary>
    public const int CrcLength = 2;

    /// <summary>Looks for a reply at the front of the bytes. The PDU is <c>bytes[1..(Length - 2)]</c> once whole.</summary>
    public static Rtu Parse(ReadOnlySpan<byte> bytes)
    {
        int length = ReplyLength(bytes);
        if (length < 0) return new(RtuStatus.NotAReply);
        if (length == 0 || bytes.Length < length) return new(RtuStatus.NeedMore);
        ushort sent = BinaryPrimitives.ReadUInt16LittleEndian(bytes[(length - CrcLength)..]);
        return Crc16.Of(bytes[..(length - CrcLength)]) == sent
            ? new(RtuStatus.Whole, bytes[0], length)
            : new(RtuStatus.BadCrc);
    }

    /// <summary>Writes a whole frame and returns its length, at most <see cref="MaxLength"/>.</summary>
    public static int Encode(byte unit, scoped in ModbusRequest request, Span<byte> frame)
    {
        frame[0] = unit;
        int length = HeaderLength + request.Encode(frame[HeaderLength..]);
        BinaryPrimitives.WriteUInt16LittleEndian(frame[length..], Crc16.Of(frame[..length]));
        return length + CrcLength;
    }

    // 0: not known yet. -1: no function of ours.
    private static int ReplyLength(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < 2) return 0;
        if (bytes[1] >= 0x80) return 5;
        switch ((ModbusFunction)bytes[1])
        {
            case ModbusFunction.ReadCoils or ModbusFunction.ReadDiscreteInputs or ModbusFunction.ReadHoldingRegisters
                or ModbusFunction.ReadInputRegisters or ModbusFunction.ReadWriteMultipleRegisters:
                if (bytes.Length < 3) return 0;
                int counted = 5 + bytes[2];
                return counted <= MaxLength ? counted : -1;
            case ModbusFunction.WriteSingleCoil or ModbusFunction.WriteSingleRegister
                or ModbusFunction.WriteMultipleCoils or ModbusFunction.WriteMultipleRegisters:
                return 8;
            case ModbusFunction.ReadDeviceIdentification:
                return IdentificationLength(bytes);
            default:
                return -1;
        }
    }

    // Its length stands nowhere: one walks from object to object (Application Protocol 6.21).
    private static int IdentificationLength(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < 8) return 0;
        int at = 8;
        for (int left = bytes[7]; left > 0; left--)
        {
            if (bytes.Length < at + 2) return 0;
            at += 2 + bytes[at + 1];
            if (at + CrcLength > MaxLength) return -1;
        }

        return at + CrcLength;
    }
}
