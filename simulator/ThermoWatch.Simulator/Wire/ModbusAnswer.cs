using System.Buffers.Binary;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Answers one request (function code and data, without address or check sum). Pure but for the registers it reads.</summary>
/// <remarks>Modbus Application Protocol V1.1b3: 6.2 to 6.4 and the order of checks in their state diagrams: function, quantity, address, reading.</remarks>
internal static class ModbusAnswer
{
    /// <summary>Longest answer.</summary>
    public const int MaxLength = 2 + (2 * MaxQuantity);

    private const int MaxQuantity = 125;
    private const int MaxBits = 2000;
    private const byte ReadDiscrete = 2, ReadHolding = 3, ReadInput = 4;
    private const byte IllegalFunction = 1, IllegalAddress = 2, IllegalValue = 3, DeviceFailure = 4;

    /// <summary>Writes the answer and returns its length.</summary>
    /// <param name="request">Function code and data, at least one byte.</param>
    /// <param name="source">The registers.</param>
    /// <param name="refuse">Whether the device cannot do its work now (exception 04).</param>
    /// <param name="answer">At least <see cref="MaxLength"/> bytes.</param>
    public static int Write(ReadOnlySpan<byte> request, IRegisterSource source, bool refuse, Span<byte> answer)
    {
        byte function = request[0];
        if (function is not (ReadDiscrete or ReadHolding or ReadInput))
        {
            return Refuse(function, IllegalFunction, answer);
        }

        if (request.Length != 5)
        {
            return Refuse(function, IllegalValue, answer);
        }

        int address = BinaryPrimitives.ReadUInt16BigEndian(request[1..]);
        int quantity = BinaryPrimitives.ReadUInt16BigEndian(request[3..]);
        bool bits = function == ReadDiscrete;
        if (quantity < 1 || quantity > (bits ? MaxBits : MaxQuantity))
        {
            return Refuse(function, IllegalValue, answer);
        }

        Span<ushort> registers = stackalloc ushort[quantity];
        RegisterTable table = bits ? RegisterTable.Discrete : function == ReadHolding ? RegisterTable.Holding : RegisterTable.Input;
        if (address + quantity > 0x10000 || !source.TryRead(table, address, registers))
        {
            return Refuse(function, IllegalAddress, answer);
        }

        if (refuse)
        {
            return Refuse(function, DeviceFailure, answer);
        }

        answer[0] = function;
        if (bits)
        {
            return Pack(registers, answer);
        }

        answer[1] = (byte)(2 * quantity);
        for (int i = 0; i < quantity; i++)
        {
            BinaryPrimitives.WriteUInt16BigEndian(answer[(2 + (2 * i))..], registers[i]);
        }

        return 2 + (2 * quantity);
    }

    // The first input is the lowest bit of the first byte; what is left of the last byte is zero.
    private static int Pack(ReadOnlySpan<ushort> inputs, Span<byte> answer)
    {
        int bytes = (inputs.Length + 7) / 8;
        answer[1] = (byte)bytes;
        answer.Slice(2, bytes).Clear();
        for (int i = 0; i < inputs.Length; i++)
        {
            answer[2 + (i / 8)] |= (byte)(inputs[i] << (i % 8));
        }

        return 2 + bytes;
    }

    private static int Refuse(byte function, byte code, Span<byte> answer)
    {
        answer[0] = (byte)(function | 0x80);
        answer[1] = code;
        return 2;
    }
}
