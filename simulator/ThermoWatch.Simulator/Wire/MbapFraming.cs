using System.Buffers.Binary;

namespace ThermoWatch.Simulator.Wire;

/// <summary>What stands at the front of a TCP stream.</summary>
internal enum MbapFront
{
    /// <summary>Less than a whole request so far.</summary>
    NeedMore,

    /// <summary>A whole request.</summary>
    Request,

    /// <summary>No Modbus: the connection has lost its place and must be closed.</summary>
    Broken,
}

/// <summary>Finds requests in a stream by their MBAP header, however the network cut it. Pure.</summary>
/// <remarks>Modbus Messaging on TCP/IP V1.0b, 3.1.3: transaction, protocol (0), length, unit; the length counts the unit.</remarks>
internal static class MbapFraming
{
    /// <summary>Length of the header with the unit.</summary>
    public const int HeaderLength = 7;

    /// <summary>Longest frame: 7 bytes of header and 253 of request.</summary>
    public const int MaxLength = 260;

    /// <summary>Looks at the front of the buffer; <paramref name="length"/> is that of a whole request.</summary>
    public static MbapFront Look(ReadOnlySpan<byte> bytes, out int length)
    {
        length = 0;
        if (bytes.Length < 6)
        {
            return MbapFront.NeedMore;
        }

        int protocol = BinaryPrimitives.ReadUInt16BigEndian(bytes[2..]);
        int rest = BinaryPrimitives.ReadUInt16BigEndian(bytes[4..]);
        if (protocol != 0 || rest is < 2 or > MaxLength - 6)
        {
            return MbapFront.Broken;
        }

        length = 6 + rest;
        return bytes.Length < length ? MbapFront.NeedMore : MbapFront.Request;
    }

    /// <summary>Writes the answer to a whole request, with its transaction and unit, and returns its length.</summary>
    public static int Answer(ReadOnlySpan<byte> request, IRegisterSource source, bool refuse, Span<byte> answer)
    {
        int body = ModbusAnswer.Write(request[HeaderLength..], source, refuse, answer[HeaderLength..]);
        request[..4].CopyTo(answer);
        BinaryPrimitives.WriteUInt16BigEndian(answer[4..], (ushort)(1 + body));
        answer[6] = request[6];
        return HeaderLength + body;
    }
}
