namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Function codes that this client speaks. Source: Modbus Application Protocol V1.1b3, section 6.</summary>
public enum ModbusFunction : byte
{
    /// <summary>6.1: outputs of one bit.</summary>
    ReadCoils = 1,

    /// <summary>6.2: inputs of one bit.</summary>
    ReadDiscreteInputs = 2,

    /// <summary>6.3: registers that can be written.</summary>
    ReadHoldingRegisters = 3,

    /// <summary>6.4: registers that can only be read.</summary>
    ReadInputRegisters = 4,

    /// <summary>6.5.</summary>
    WriteSingleCoil = 5,

    /// <summary>6.6.</summary>
    WriteSingleRegister = 6,

    /// <summary>6.11.</summary>
    WriteMultipleCoils = 15,

    /// <summary>6.12.</summary>
    WriteMultipleRegisters = 16,

    /// <summary>6.17: the write happens before the read.</summary>
    ReadWriteMultipleRegisters = 23,

    /// <summary>6.21: read device identification (MEI type 14).</summary>
    ReadDeviceIdentification = 43,
}

/// <summary>Where a point lives in the device: one of the four tables of the Modbus data model.</summary>
public enum ModbusTable
{
    /// <summary>16-bit registers that can be written; manuals often number them from 40001.</summary>
    Holding,

    /// <summary>16-bit registers that can only be read; manuals often number them from 30001.</summary>
    Input,

    /// <summary>Single bits that can be written; manuals often number them from 1.</summary>
    Coil,

    /// <summary>Single bits that can only be read; manuals often number them from 10001.</summary>
    Discrete,
}

/// <summary>What the tables have in common.</summary>
public static class ModbusTables
{
    /// <summary>The function that reads a table.</summary>
    public static ModbusFunction ReadFunction(this ModbusTable table) => table switch
    {
        ModbusTable.Holding => ModbusFunction.ReadHoldingRegisters,
        ModbusTable.Input => ModbusFunction.ReadInputRegisters,
        ModbusTable.Coil => ModbusFunction.ReadCoils,
        _ => ModbusFunction.ReadDiscreteInputs,
    };

    /// <summary>Whether its elements are single bits.</summary>
    public static bool IsBits(this ModbusTable table) => table is ModbusTable.Coil or ModbusTable.Discrete;

    /// <summary>Most elements one request may ask for: 125 registers, 2000 bits (6.1 to 6.4).</summary>
    public static int MaxQuantity(this ModbusTable table) => table.IsBits() ? 2000 : 125;
}
