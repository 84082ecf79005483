using System.Buffers.Binary;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>What stands at the front of a buffer of received TCP bytes.</summary>
public enum MbapStatus
{
    /// <summary>A whole ADU.</summary>
    Whole,

    /// <summary>The beginning of one: more must come.</summary>
    NeedMore,

    /// <summary>Not Modbus: the protocol id is not 0, or the length is impossible. The stream has lost its frame and must be closed.</summary>
    Broken,
}

/// <summary>The header of Modbus TCP: transaction id, protocol id 0, length, unit; then the PDU.</summary>
/// <remarks>
/// Source: Modbus Messaging on TCP/IP Implementation Guide V1.0b, 3.1 (from memory; agrees with tests/reference/protocol).
/// TCP is a stream: frames are found by the length field alone, never by segments.
/// </remarks>
/// <param name="Status">What was found.</param>
/// <param name="Transaction">Repeats the request's.</param>
/// <param name="Unit">Unit that answers.</param>
/// <param name="Length">Bytes of the whole ADU, header included.</param>
public readonly record struct Mbap(MbapStatus Status, ushort Transaction = 0, byte Unit = 0, int Length = 0)
{
    /// <summary>Bytes of the header, unit included.</summary>
    public const int HeaderLength = 7;

    /// <summary>Longest ADU: header and PDU.</summary>
    public const int MaxLength = HeaderLength + ModbusRequest.MaxPduLength;

    /// <summary>Looks at the front of the received bytes. The PDU is <c>bytes[HeaderLength..Length]</c> once whole.</summary>
    public static Mbap Parse(ReadOnlySpan<byte> bytes)
    {
        // Each field is judged as soon as it is there: a wrong stream must not wait for its end.
        if (bytes.Length >= 4 && BinaryPrimitives.ReadUInt16BigEndian(bytes[2..]) != 0) return new(MbapStatus.Broken);
        if (bytes.Length < 6) return new(MbapStatus.NeedMore);
        int length = BinaryPrimitives.ReadUInt16BigEndian(bytes[4..]);
        if (length is < 2 or > 1 + ModbusRequest.MaxPduLength) return new(MbapStatus.Broken);
        if (bytes.Length < 6 + length) return new(MbapStatus.NeedMore);
        return new(MbapStatus.Whole, BinaryPrimitives.ReadUInt16BigEndian(bytes), bytes[6], 6 + length);
    }

    /// <summary>Writes a whole ADU and returns its length, at most <see cref="MaxLength"/>.</summary>
    public static int Encode(ushort transaction, byte unit, scoped in ModbusRequest request, Span<byte> adu)
    {
        int pduLength = request.Encode(adu[HeaderLength..]);
        BinaryPrimitives.WriteUInt16BigEndian(adu, transaction);
        BinaryPrimitives.WriteUInt16BigEndian(adu[2..], 0);
        BinaryPrimitives.WriteUInt16BigEndian(adu[4..], (ushort)(1 + pduLength));
        adu[6] = unit;
        return HeaderLength + pduLength;
    }
}
