namespace ThermoWatch.Acquisition.Modbus;

/// <summary>How the words of a point make a number.</summary>
public enum PointType
{
    /// <summary>Signed, 16 bits.</summary>
    Int16,

    /// <summary>Unsigned, 16 bits; also a status word.</summary>
    UInt16,

    /// <summary>Signed, 32 bits.</summary>
    Int32,

    /// <summary>Unsigned, 32 bits.</summary>
    UInt32,

    /// <summary>IEEE 754 single.</summary>
    Float32,

    /// <summary>One bit: a coil or a discrete input, or the bits from <see cref="ModbusPoint.Bit"/> on of a register: a flag, or a small number in a status word.</summary>
    Bit,

    /// <summary>Signed, 64 bits; beyond 53 bits rounded to a double.</summary>
    Int64,

    /// <summary>IEEE 754 double.</summary>
    Float64,
}

/// <summary>Order of the bytes of a number that spans registers; A is the most significant byte.</summary>
/// <remarks>
/// The standard does not say how 32 bits lie in two registers, so makers differ; names such as "little endian" are used for different things.
/// Longer numbers follow the same two questions: whether the low word comes first, and whether the bytes within a word are swapped.
/// </remarks>
public enum WordOrder
{
    /// <summary>High word first, high byte first.</summary>
    Abcd,

    /// <summary>Low word first, high byte first.</summary>
    Cdab,

    /// <summary>High word first, low byte first.</summary>
    Badc,

    /// <summary>Low word first, low byte first.</summary>
    Dcba,
}
