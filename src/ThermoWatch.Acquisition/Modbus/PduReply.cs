using System.Buffers.Binary;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>How a reply stands to its request.</summary>
public enum ReplyStatus
{
    /// <summary>It answers the request.</summary>
    Ok,

    /// <summary>The device refused, with an exception code.</summary>
    Refused,

    /// <summary>It answers another function: not ours, or noise.</summary>
    WrongFunction,

    /// <summary>It is longer or shorter than the answer to this request.</summary>
    WrongLength,

    /// <summary>It confirms another write than ours.</summary>
    WrongEcho,
}

/// <summary>A reply's PDU, matched against its request. Bad bytes are a status, never an exception.</summary>
/// <remarks>Source: Modbus Application Protocol V1.1b3, section 6 (replies) and 7 (exceptions).</remarks>
public readonly ref struct PduReply
{
    private PduReply(ReplyStatus status, byte exceptionCode, ReadOnlySpan<byte> data)
    {
        Status = status;
        ExceptionCode = exceptionCode;
        Data = data;
    }

    /// <summary>Whether, and how, it answers.</summary>
    public ReplyStatus Status { get; }

    /// <summary>Why the device refused; 0 unless it did.</summary>
    public byte ExceptionCode { get; }

    /// <summary>Registers (high byte first), bits (first in bit 0) or identification, without function and byte count; empty unless ok.</summary>
    public ReadOnlySpan<byte> Data { get; }

    /// <summary>Matches a whole PDU against the request that it should answer.</summary>
    public static PduReply Parse(ReadOnlySpan<byte> pdu, scoped in ModbusRequest request)
    {
        if (pdu.Length < 2) return new(ReplyStatus.WrongLength, 0, default);
        byte function = (byte)request.Function;
        if (pdu[0] == (function | 0x80))
            return pdu.Length == 2 ? new(ReplyStatus.Refused, pdu[1], default) : new(ReplyStatus.WrongLength, 0, default);
        if (pdu[0] != function) return new(ReplyStatus.WrongFunction, 0, default);
        return request.Function switch
        {
            ModbusFunction.ReadCoils or ModbusFunction.ReadDiscreteInputs => Counted(pdu, ModbusRequest.BitBytes(request.Quantity)),
            ModbusFunction.ReadHoldingRegisters or ModbusFunction.ReadInputRegisters
                or ModbusFunction.ReadWriteMultipleRegisters => Counted(pdu, 2 * request.Quantity),
            ModbusFunction.ReadDeviceIdentification => pdu.Length >= 7 && pdu[1] == 0x0E && pdu[2] == request.Quantity
                ? new(ReplyStatus.Ok, 0, pdu[1..])
                : new(ReplyStatus.WrongLength, 0, default),
            _ => Echo(pdu, request),
        };
    }

    private static PduReply Counted(ReadOnlySpan<byte> pdu, int bytes) => pdu[1] == bytes && pdu.Length == 2 + bytes
        ? new(ReplyStatus.Ok, 0, pdu[2..])
        : new(ReplyStatus.WrongLength, 0, default);

    private static PduReply Echo(ReadOnlySpan<byte> pdu, scoped in ModbusRequest request)
    {
        if (pdu.Length != 5) return new(ReplyStatus.WrongLength, 0, default);
        bool same = BinaryPrimitives.ReadUInt16BigEndian(pdu[1..]) == request.Address
            && BinaryPrimitives.ReadUInt16BigEndian(pdu[3..]) == request.Quantity;
        return new(same ? ReplyStatus.Ok : ReplyStatus.WrongEcho, 0, default);
    }
}
