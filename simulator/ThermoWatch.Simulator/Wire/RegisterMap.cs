namespace ThermoWatch.Simulator.Wire;

/// <summary>Where the numbers of a simulated cell stand. Addresses count from 0, as on the wire.</summary>
/// <remarks>
/// <para>Input registers (function 04): the frame as float32 ABCD, two registers each.
/// 0..15 product thermocouples 1..8 in mV; 16 vapour and 18 transport in mV; 20 cold junction in degC; 22 chamber pressure in mbar absolute.
/// An open input gives NaN.</para>
/// <para>24 room pressure in hPa from a barometer, 26 process sensor of carrier B in mV (NaN where there is one carrier), float32 ABCD too.
/// Signals of the machine's own controller, uint16, carrier A from 40 on, carrier B from 50 on (zeros where there is one carrier):
/// 40 status, 41 number of the recipe that runs, 42 number of the run, 43 boards on the carrier,
/// 44 position (0 loading, 1 soak, 2 vapour, 3 vacuum, 4 cooling).
/// Status bits: 0 run active, 1 carrier present, 2 in vapour, 3 pump valve open, 4 vent valve open, 5 chamber closed.</para>
/// <para>Discrete inputs (function 02): the status bits of carrier A at 0..5, of carrier B at 16..21.</para>
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

    /// <summary>Input register at which the barometer's float32 starts.</summary>
    public const int Barometer = 24;

    /// <summary>Input register at which the float32 of carrier B's process sensor starts.</summary>
    public const int SecondTransport = 26;

    /// <summary>First input register of carrier A's signals.</summary>
    public const int FirstSignals = 40;

    /// <summary>First input register of carrier B's signals.</summary>
    public const int SecondSignals = 50;

    /// <summary>Number of a carrier's signal registers.</summary>
    public const int SignalCount = 5;

    /// <summary>Number of a carrier's status bits.</summary>
    public const int ContactCount = 6;

    /// <summary>Discrete input of carrier B's first status bit; carrier A's is 0.</summary>
    public const int SecondContacts = 16;

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
