namespace ThermoWatch.Acquisition.Modbus;

/// <summary>What a device's refusal means and what to do. Source: Modbus Application Protocol V1.1b3, section 7.</summary>
public static class ModbusExceptions
{
    /// <summary>The device does not know the function.</summary>
    public const byte IllegalFunction = 1;

    /// <summary>The device does not have the addresses.</summary>
    public const byte IllegalDataAddress = 2;

    /// <summary>The device does not take the request's structure or number of elements.</summary>
    public const byte IllegalDataValue = 3;

    /// <summary>The device failed while it answered.</summary>
    public const byte ServerDeviceFailure = 4;

    /// <summary>The device has begun something long.</summary>
    public const byte Acknowledge = 5;

    /// <summary>The device is busy.</summary>
    public const byte ServerDeviceBusy = 6;

    /// <summary>A gateway has no way to the unit.</summary>
    public const byte GatewayPathUnavailable = 10;

    /// <summary>A gateway got no answer from the unit.</summary>
    public const byte GatewayTargetFailedToRespond = 11;

    /// <summary>The code in words, with a remedy.</summary>
    public static string Meaning(byte code) => code switch
    {
        IllegalFunction => "illegal function (01): the device cannot read this table; try the other table (holding or input)",
        IllegalDataAddress => "illegal data address (02): the device does not have these addresses; check them against its manual (wire addresses count from 0, manuals often from 1)",
        IllegalDataValue => "illegal data value (03): the device does not take this many elements at once; lower the most registers in one request",
        ServerDeviceFailure => "device failure (04): the device reports a fault of its own; see its display and manual",
        Acknowledge => "acknowledge (05): the device is working on a long request; it is asked again later",
        ServerDeviceBusy => "device busy (06): it is asked again later; a longer period may help",
        8 => "memory parity error (08): the device reports a fault of its memory",
        GatewayPathUnavailable => "gateway path unavailable (0A): the gateway cannot reach its line; check the gateway's settings",
        GatewayTargetFailedToRespond => "gateway target failed to respond (0B): the unit behind the gateway is silent; check its power, its wiring and its unit number",
        _ => $"exception {code:X2} (not in the standard): see the device's manual",
    };

    /// <summary>Whether asking again unchanged can help; 01, 02 and 03 say that the settings are wrong.</summary>
    public static bool IsSettingsFault(byte code) => code is IllegalFunction or IllegalDataAddress or IllegalDataValue;

    /// <summary>Whether it is the unit behind a gateway that is silent, while the gateway answers.</summary>
    public static bool IsUnitSilent(byte code) => code is GatewayPathUnavailable or GatewayTargetFailedToRespond;
}
