namespace ThermoWatch.Acquisition.Modbus;

/// <summary>The numbers that manuals give to points: the table's digit, then the address counted from 1.</summary>
/// <remarks>Common practice, five digits (40001 to 49999) or six (400001 to 465536); coils have the digit 0, so theirs are 1 to 9999.</remarks>
public static class ManualNumber
{
    /// <summary>Table and wire address of a manual's number; false if it is none.</summary>
    public static bool TryParse(int number, out ModbusTable table, out int address)
    {
        int unit = number >= 100_000 ? 100_000 : 10_000;
        (table, address) = (number / unit) switch
        {
            0 => (ModbusTable.Coil, (number % unit) - 1),
            1 => (ModbusTable.Discrete, (number % unit) - 1),
            3 => (ModbusTable.Input, (number % unit) - 1),
            4 => (ModbusTable.Holding, (number % unit) - 1),
            _ => (default, -1),
        };
        return number > 0 && address is >= 0 and <= 65535;
    }
}
