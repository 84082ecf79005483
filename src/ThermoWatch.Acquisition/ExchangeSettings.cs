namespace ThermoWatch.Acquisition;

/// <summary>How a device is asked. Unlike what is read from it, this can change while it is polled: from the next request on.</summary>
/// <param name="Timeout">Longest time for an answer; null: as it is.</param>
/// <param name="Retries">How often a request without a good answer is sent again within one poll; null: as it is.</param>
/// <param name="MaxGapRegisters">Unused registers that may lie between two points that are read together; null: as it is.</param>
public sealed record ExchangeSettings(TimeSpan? Timeout = null, int? Retries = null, int? MaxGapRegisters = null)
{
    /// <summary>A device's options with these settings, or all that is wrong with them.</summary>
    /// <param name="options">Valid options.</param>
    public (DeviceOptions? Changed, IReadOnlyList<ConfigurationFault> Faults) Apply(DeviceOptions options)
    {
        DeviceOptions? changed = options switch
        {
            Modbus.ModbusDeviceOptions modbus => modbus with
            {
                Timeout = Timeout ?? modbus.Timeout,
                Retries = Retries ?? modbus.Retries,
                MaxGapRegisters = MaxGapRegisters ?? modbus.MaxGapRegisters,
            },
            Text.TextDeviceOptions text when Retries is null && MaxGapRegisters is null => text with { Timeout = Timeout ?? text.Timeout },
            _ => null,
        };
        IReadOnlyList<ConfigurationFault> faults = changed is not null ? changed.Validate("") : options is Text.TextDeviceOptions
            ? [new("retries", "A device that speaks lines has a time-out, but neither retries nor gaps", "Give the time-out alone.")]
            : [new("device", $"'{options.Id}' is asked nothing", "Change a device that is asked over a wire.")];
        return faults.Count == 0 ? (changed, []) : (null, [.. faults.Select(f => f with { Path = f.Path.TrimStart('.') })]);
    }
}
