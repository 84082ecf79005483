using System.Buffers.Binary;

namespace ThermoWatch.Domain.Signals;

/// <summary>What a point's 16-bit registers hold.</summary>
public enum RegisterType
{
    /// <summary>One register, signed.</summary>
    Int16 = 0,

    /// <summary>One register, unsigned.</summary>
    UInt16 = 1,

    /// <summary>Two registers, signed.</summary>
    Int32 = 2,

    /// <summary>Two registers, unsigned.</summary>
    UInt32 = 3,

    /// <summary>Two registers, IEEE 754 single precision.</summary>
    Float32 = 4,
}

/// <summary>Order of the four bytes of a 32-bit value on the wire; A is the most significant.</summary>
/// <remarks>The letters, because names such as "little endian" are used for two of these.</remarks>
public enum WordOrder
{
    /// <summary>High register first, high byte first: the usual one.</summary>
    Abcd = 0,

    /// <summary>Low register first, high byte first.</summary>
    Cdab = 1,

    /// <summary>High register first, low byte first.</summary>
    Badc = 2,

    /// <summary>Low register first, low byte first.</summary>
    Dcba = 3,
}

/// <summary>Registers to numbers. No port, no clock, no log.</summary>
public static class RegisterCodec
{
    /// <summary>How many registers a value takes.</summary>
    public static int RegistersOf(RegisterType type) => type is RegisterType.Int16 or RegisterType.UInt16 ? 1 : 2;

    /// <summary>The number in the front of the registers; a float that is no number is bad.</summary>
    /// <remarks>A value that was not read in one request may be torn: this function cannot know.</remarks>
    /// <param name="registers">Each as it came off the wire, high byte first, as Modbus defines.</param>
    /// <param name="type">What they hold.</param>
    /// <param name="order">Order of the bytes of a 32-bit value; without effect on 16-bit values.</param>
    /// <returns>The number; bad and garbled when there are too few registers.</returns>
    public static Converted Decode(ReadOnlySpan<ushort> registers, RegisterType type, WordOrder order = WordOrder.Abcd)
    {
        if (registers.Length < RegistersOf(type)) return Converted.Bad(QualityReason.Garbled);
        switch (type)
        {
            case RegisterType.Int16: return Converted.Good(unchecked((short)registers[0]));
            case RegisterType.UInt16: return Converted.Good(registers[0]);
        }

        uint bits = Combine(registers[0], registers[1], order);
        double value = type switch
        {
            RegisterType.Int32 => (double)unchecked((int)bits), // without the cast all three arms would become floats and lose bits
            RegisterType.UInt32 => (double)bits,
            _ => (double)BitConverter.UInt32BitsToSingle(bits),
        };
        return double.IsFinite(value) ? Converted.Good(value) : Converted.Bad(QualityReason.NotANumber);
    }

    private static uint Combine(ushort first, ushort second, WordOrder order)
    {
        if (order is WordOrder.Cdab or WordOrder.Dcba) (first, second) = (second, first);
        if (order is WordOrder.Badc or WordOrder.Dcba)
        {
            first = BinaryPrimitives.ReverseEndianness(first);
            second = BinaryPrimitives.ReverseEndianness(second);
        }

        return ((uint)first << 16) | second;
    }
}
