using System.Buffers.Binary;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>A request to a device: what a reply is matched against, and the bytes of its PDU.</summary>
/// <remarks>
/// Source: Modbus Application Protocol V1.1b3, section 6; the limits are its limits.
/// The factories throw <see cref="ArgumentOutOfRangeException"/> beyond them: a request is made by us, so a wrong one is our own mistake.
/// </remarks>
public readonly ref struct ModbusRequest
{
    /// <summary>Longest PDU, request or reply (4.1).</summary>
    public const int MaxPduLength = 253;

    private ModbusRequest(ModbusFunction function, ushort address, ushort quantity, ushort writeAddress = 0, ReadOnlySpan<byte> payload = default)
    {
        Function = function;
        Address = address;
        Quantity = quantity;
        WriteAddress = writeAddress;
        Payload = payload;
    }

    /// <summary>Function code.</summary>
    public ModbusFunction Function { get; }

    /// <summary>First element, as on the wire: from 0. For identification: the object to begin with.</summary>
    public ushort Address { get; }

    /// <summary>Elements read, or written where nothing is read; the value itself for a single write; the read code for identification.</summary>
    public ushort Quantity { get; }

    /// <summary>First register written by function 23.</summary>
    public ushort WriteAddress { get; }

    /// <summary>Bytes written, as they go on the wire.</summary>
    public ReadOnlySpan<byte> Payload { get; }

    /// <summary>Whether it changes anything in the device.</summary>
    public bool Writes => Function is ModbusFunction.WriteSingleCoil or ModbusFunction.WriteSingleRegister
        or ModbusFunction.WriteMultipleCoils or ModbusFunction.WriteMultipleRegisters or ModbusFunction.ReadWriteMultipleRegisters;

    /// <summary>Functions 1 to 4: 1 to 125 registers, or 1 to 2000 bits.</summary>
    public static ModbusRequest Read(ModbusTable table, ushort address, int quantity)
    {
        Check(quantity, 1, table.MaxQuantity());
        Check(address + quantity, 1, 65536);
        return new(table.ReadFunction(), address, (ushort)quantity);
    }

    /// <summary>Function 5: FF00h for on, 0000h for off.</summary>
    public static ModbusRequest WriteCoil(ushort address, bool on) =>
        new(ModbusFunction.WriteSingleCoil, address, on ? (ushort)0xFF00 : (ushort)0);

    /// <summary>Function 6.</summary>
    public static ModbusRequest WriteRegister(ushort address, ushort value) => new(ModbusFunction.WriteSingleRegister, address, value);

    /// <summary>Function 15: 1 to 1968 bits, the first in bit 0 of the first byte.</summary>
    public static ModbusRequest WriteCoils(ushort address, int quantity, ReadOnlySpan<byte> bits)
    {
        Check(quantity, 1, 1968);
        Check(bits.Length, BitBytes(quantity), BitBytes(quantity));
        return new(ModbusFunction.WriteMultipleCoils, address, (ushort)quantity, 0, bits);
    }

    /// <summary>Function 16: 1 to 123 registers, high byte first.</summary>
    public static ModbusRequest WriteRegisters(ushort address, ReadOnlySpan<byte> registers)
    {
        Check(registers.Length, 2, 2 * 123);
        return new(ModbusFunction.WriteMultipleRegisters, address, (ushort)(registers.Length / 2), 0, registers);
    }

    /// <summary>Function 23: writes 1 to 121 registers, then reads 1 to 125.</summary>
    public static ModbusRequest ReadWrite(ushort readAddress, int quantity, ushort writeAddress, ReadOnlySpan<byte> registers)
    {
        Check(quantity, 1, 125);
        Check(registers.Length, 2, 2 * 121);
        return new(ModbusFunction.ReadWriteMultipleRegisters, readAddress, (ushort)quantity, writeAddress, registers);
    }

    /// <summary>Function 43/14.</summary>
    /// <param name="readCode">1 basic, 2 regular, 3 extended, 4 one object.</param>
    /// <param name="firstObject">Object id to begin with.</param>
    public static ModbusRequest Identify(byte readCode, byte firstObject = 0)
    {
        Check(readCode, 1, 4);
        return new(ModbusFunction.ReadDeviceIdentification, firstObject, readCode);
    }

    /// <summary>Bytes in a mask of so many bits.</summary>
    public static int BitBytes(int bits) => (bits + 7) / 8;

    /// <summary>Writes the PDU and returns its length, at most <see cref="MaxPduLength"/>.</summary>
    public int Encode(Span<byte> pdu)
    {
        pdu[0] = (byte)Function;
        if (Function == ModbusFunction.ReadDeviceIdentification)
        {
            pdu[1] = 0x0E;
            pdu[2] = (byte)Quantity;
            pdu[3] = (byte)Address;
            return 4;
        }

        BinaryPrimitives.WriteUInt16BigEndian(pdu[1..], Address);
        BinaryPrimitives.WriteUInt16BigEndian(pdu[3..], Quantity);
        switch (Function)
        {
            case ModbusFunction.WriteMultipleCoils or ModbusFunction.WriteMultipleRegisters:
                return Append(pdu, 5);
            case ModbusFunction.ReadWriteMultipleRegisters:
                BinaryPrimitives.WriteUInt16BigEndian(pdu[5..], WriteAddress);
                BinaryPrimitives.WriteUInt16BigEndian(pdu[7..], (ushort)(Payload.Length / 2));
                return Append(pdu, 9);
            default:
                return 5;
        }
    }

    private int Append(Span<byte> pdu, int at)
    {
        pdu[at] = (byte)Payload.Length;
        Payload.CopyTo(pdu[(at + 1)..]);
        return at + 1 + Payload.Length;
    }

    private static void Check(int value, int least, int most)
    {
        if (value < least || value > most)
            throw new ArgumentOutOfRangeException(nameof(value), value, $"Modbus allows {least} to {most} here.");
    }
}
