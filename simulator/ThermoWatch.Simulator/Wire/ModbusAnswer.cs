using System.Buffers.Binary;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Answers one request (function code and data, without address or check sum). Pure but for the registers it reads.</summary>
/// <remarks>Modbus Application Protocol V1.1b3: 6.3, 6.4 and the order of checks in their state diagrams: function, quantity, address, reading.</remarks>
internal static class ModbusAnswer
{
    /// <summary>Longest answer.</summary>
    public const int MaxLength = 2 + (2 * MaxQuantity);

    private const int MaxQuantity = 125;
    private const byte ReadHolding = 3, ReadInput = 4;
    private const byte IllegalFunction = 1, IllegalAddress = 2, IllegalValue = 3, DeviceFailure = 4;

    /// <summary>Writes the answer and returns its length.</summary>
    /// <param name="request">Function code and data, at least one byte.</param>
    /// <param name="source">The registers.</param>
    /// <param name="refuse">Whether the device cannot do its work now (exception 04).</param>
    /// <param name="answer">At least <see cref="MaxLength"/> bytes.</param>
    public static int Write(ReadOnlySpan<byte> request, IRegisterSource source, bool refuse, Span<byte> answer)
    {
        byte function = request[0];
        if (function is not (ReadHolding or ReadInput))
        {
            return Refuse(function, IllegalFunction, answer);
        }

        if (request.Length != 5)
        {
            return Refuse(function, IllegalValue, answer);
        }

        int address = BinaryPrimitives.ReadUInt16BigEndian(request[1..]);
        int quantity = BinaryPrimitives.ReadUInt16BigEndian(request[3..]);
        if (quantity is < 1 or > MaxQuantity)
        {
            return Refuse(function, IllegalValue, answer);
        }

        Span<ushort> registers = stackalloc ushort[quantity];
        RegisterTable table = function == ReadHolding ? RegisterTable.Holding : RegisterTable.Input;
        if (address + quantity > 0x10000 || !source.TryRead(table, address, registers))
        {
            return Refuse(function, IllegalAddress, answer);
        }

        if (refuse)
        {
            return Refuse(function, DeviceFailure, answer);
        }

        answer[0] = function;
        answer[1] = (byte)(2 * quantity);
        for (int i = 0; i < quantity; i++)
        {
            BinaryPrimitives.WriteUInt16BigEndian(answer[(2 + (2 * i))..], registers[i]);
        }

        return 2 + (2 * quantity);
    }

    private static int Refuse(byte function, byte code, Span<byte> answer)
    {
        answer[0] = (byte)(function | 0x80);
        answer[1] = code;
        return 2;
    }
}
