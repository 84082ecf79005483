using ThermoWatch.Acquisition.Serial;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>One value of a Modbus device.</summary>
public sealed record ModbusPoint
{
    /// <summary>Unique in the device.</summary>
    public required string Id { get; init; }

    /// <summary>Where it lives.</summary>
    public ModbusTable Table { get; init; } = ModbusTable.Holding;

    /// <summary>Address of its first register or bit as on the wire: 0 to 65535. A manual's 40001 is 0 here.</summary>
    public required int Address { get; init; }

    /// <summary>How its words make a number; coils and discrete inputs are always bits.</summary>
    public PointType Type { get; init; } = PointType.Int16;

    /// <summary>Order of its bytes and words.</summary>
    public WordOrder WordOrder { get; init; } = WordOrder.Abcd;

    /// <summary>For <see cref="PointType.Bit"/> in a register: the lowest bit of the field, 0 (lowest) to 15.</summary>
    public int Bit { get; init; }

    /// <summary>For <see cref="PointType.Bit"/> in a register: how many bits the field has, 1 to 16; its number is unsigned.</summary>
    public int BitCount { get; init; } = 1;

    /// <summary>Where its number can lie, unscaled; null: anywhere.</summary>
    public PlausibleRange? Plausible { get; init; }

    /// <summary>Elements of its table that it fills.</summary>
    public int Length => Table.IsBits() ? 1 : RegisterDecoder.RegistersOf(Type);
}

/// <summary>What all Modbus devices have, whatever carries their frames.</summary>
public abstract record ModbusDeviceOptions : DeviceOptions
{
    /// <summary>Unit number set on the device: 1 to 247; over TCP also 0 and 255 for a device that has none.</summary>
    public int Unit { get; init; } = 1;

    /// <summary>Longest time for an answer: 10 ms to 30 s.</summary>
    public TimeSpan Timeout { get; init; } = TimeSpan.FromMilliseconds(500);

    /// <summary>How often a request without a good answer is sent again within one poll: 0 to 5.</summary>
    public int Retries { get; init; }

    /// <summary>Unused registers that may lie between two points that are read together (16 times as many bits): 0 to 124.</summary>
    public int MaxGapRegisters { get; init; } = 8;

    /// <summary>Most registers in one request: 1 to 125 (16 times as many bits).</summary>
    public int MaxRegisters { get; init; } = 125;

    /// <summary>Whether requests that change the device may go out. Monitoring needs none.</summary>
    public bool AllowWrites { get; init; }

    /// <summary>What to read.</summary>
    public required IReadOnlyList<ModbusPoint> Points { get; init; }

    /// <inheritdoc/>
    public override IReadOnlyList<string> PointIds => [.. Points.Select(p => p.Id)];

    /// <inheritdoc/>
    public override IReadOnlyList<PlausibleRange?> Plausible => [.. Points.Select(p => p.Plausible)];

    /// <summary>Whether unit numbers 0 and 255 mean the device itself.</summary>
    internal abstract bool UnitMayBeAbsent { get; }

    internal override void Check(OptionsCheck check)
    {
        if (!(UnitMayBeAbsent && Unit is 0 or 255)) check.Range("unit", Unit, 1, 247, "a unit number");
        check.Span("timeout", Timeout, TimeSpan.FromMilliseconds(10), TimeSpan.FromSeconds(30));
        check.Range("retries", Retries, 0, 5, "a number of retries");
        check.Range("maxGapRegisters", MaxGapRegisters, 0, 124, "a number of registers to skip");
        check.Range("maxRegisters", MaxRegisters, 1, 125, "a number of registers that one request can read");
        for (int i = 0; i < Points.Count; i++) Check(check, $"points[{i}]", Points[i]);
    }

    private void Check(OptionsCheck check, string member, ModbusPoint point)
    {
        check.Id($"{member}.id", point.Id);
        check.Known($"{member}.table", point.Table);
        check.Known($"{member}.type", point.Type);
        check.Known($"{member}.wordOrder", point.WordOrder);
        check.Range($"{member}.address", point.Address, 0, 65536 - point.Length, "an address of this type on the wire (counted from 0)");
        check.Range($"{member}.bit", point.Bit, 0, 15, "a bit of a register");
        check.Range($"{member}.bitCount", point.BitCount, 1, Math.Max(1, 16 - point.Bit), "a number of bits that lie in the register");
        if (point.Bit != 0 && point.Type != PointType.Bit)
            check.Add($"{member}.bit", $"Bit {point.Bit} is given, but the type is {point.Type}.", "Set the type to Bit, or leave the bit out.");
        if (point.Length > MaxRegisters && !point.Table.IsBits())
            check.Add("maxRegisters", $"{MaxRegisters} is less than the {point.Length} registers of point '{point.Id}', which must be read at once.", "Raise it.");
    }
}

/// <summary>A device, or a gateway with units behind it, that speaks Modbus TCP.</summary>
public sealed record ModbusTcpDeviceOptions : ModbusDeviceOptions
{
    /// <summary>Name or number address.</summary>
    public required string Host { get; init; }

    /// <summary>TCP port: 502 by the standard.</summary>
    public int Port { get; init; } = 502;

    /// <summary>Requests sent before their answers have come: 1 to 16. Raise it only if the device's manual allows.</summary>
    public int MaxOutstanding { get; init; } = 1;

    internal override bool UnitMayBeAbsent => true;

    internal override void Check(OptionsCheck check)
    {
        check.NotEmpty("host", Host, "Write the device's name or number address.");
        check.Range("port", Port, 1, 65535, "a TCP port");
        check.Range("maxOutstanding", MaxOutstanding, 1, 16, "a number of requests");
        base.Check(check);
    }
}

/// <summary>A device on a serial line that speaks Modbus RTU. Devices with the same port share one bus.</summary>
public sealed record ModbusRtuDeviceOptions : ModbusDeviceOptions
{
    /// <summary>The port and its settings; the same for all devices on it.</summary>
    public required SerialSettings Serial { get; init; }

    internal override bool UnitMayBeAbsent => false;

    internal override void Check(OptionsCheck check)
    {
        Serial.Check(check);
        base.Check(check);
        TimeSpan onWire = Serial.WireTime(8 + 5 + (2 * Math.Min(MaxRegisters, Points.Count == 0 ? 1 : Points.Max(p => p.Address + p.Length) - Points.Min(p => p.Address))));
        if (Timeout <= onWire)
            check.Add("timeout", $"{Timeout.TotalMilliseconds:0} ms is less than request and reply take on the wire at {Serial.Baud} Bd ({onWire.TotalMilliseconds:0} ms).", "Raise the time-out or the baud rate, or lower maxRegisters.");
    }
}

/// <summary>A device behind a gateway that passes the bytes of a serial line through a socket: RTU frames with their CRC.</summary>
public sealed record ModbusRtuOverTcpDeviceOptions : ModbusDeviceOptions
{
    /// <summary>The gateway's name or number address.</summary>
    public required string Host { get; init; }

    /// <summary>The gateway's TCP port.</summary>
    public required int Port { get; init; }

    internal override bool UnitMayBeAbsent => false;

    internal override void Check(OptionsCheck check)
    {
        check.NotEmpty("host", Host, "Write the gateway's name or number address.");
        check.Range("port", Port, 1, 65535, "a TCP port");
        base.Check(check);
    }
}
