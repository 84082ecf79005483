namespace ThermoWatch.Simulator.Wire;

/// <summary>Where the numbers of a simulated cell stand. Addresses count from 0, as on the wire.</summary>
/// <remarks>
/// <para>Input registers (function 04): the frame as float32 ABCD, two registers each.
/// 0..15 product thermocouples 1..8 in mV; 16 vapour and 18 transport in mV; 20 cold junction in degC; 22 chamber pressure in mbar absolute.
/// An open input gives NaN.</para>
/// <para>Holding registers (function 03), the same twelve quantities in other dress, in the same order:
/// 0..11 int16 in tenths: thermocouples as temperatures that the instrument worked out itself (0.1 degC), cold junction (0.1 degC), pressure (0.1 mbar);
/// open input: 0x7FFF. 20..31 uint16: temperatures in 0.01 degC (0 and up), pressure in 0.1 mbar; open input: 0xFFFF.
/// 100, 200, 300, 400 onwards: int32 in ABCD, CDAB, BADC, DCBA: thermocouples in µV, cold junction in 0.001 degC, pressure in 0.1 Pa; open input: 0x80000000.
/// 500, 600, 700, 800 onwards: float32 in ABCD, CDAB, BADC, DCBA, in the units of the input registers.</para>
/// </remarks>
public static class RegisterMap
{
    /// <summary>Number of input registers.</summary>
    public const int InputCount = 2 * SimulatedChannels.Count;

    /// <summary>First of the int16 in tenths.</summary>
    public const int TenthsStart = 0;

    /// <summary>First of the uint16.</summary>
    public const int UnsignedStart = 20;

    /// <summary>int16 value of an open input.</summary>
    public const short OpenInt16 = short.MaxValue;

    /// <summary>uint16 value of an open input.</summary>
    public const ushort OpenUInt16 = ushort.MaxValue;

    /// <summary>int32 value of an open input.</summary>
    public const int OpenInt32 = int.MinValue;

    /// <summary>Input register at which a quantity's float32 starts.</summary>
    public static int SingleAddress(int quantity) => 2 * quantity;

    /// <summary>First holding register of the int32 in one word order.</summary>
    public static int Int32Start(WordOrder order) => 100 + (100 * (int)order);

    /// <summary>First holding register of the float32 in one word order.</summary>
    public static int SingleStart(WordOrder order) => 500 + (100 * (int)order);
}
