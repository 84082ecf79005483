using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Configuration;

/// <summary>Holds the spec of a cell against its gauge and its height.</summary>
internal static class SpecCheck
{
    /// <summary>Refuses a spec that the cell cannot show or reach.</summary>
    public static void Check(JsonScope cell, Spec spec, double? altitudeMetres, IReadOnlyList<ChannelDefinition> channels, IReadOnlyList<DeviceOptions> devices)
    {
        ChannelDefinition? gauge = channels.FirstOrDefault(c => c.Role == ChannelRole.Pressure);
        var abilities = new CellAbilities
        {
            Gauge = gauge,
            GaugeResolutionMillibar = gauge is null ? null : StepOf(gauge, devices),
            UsualAmbientHectopascal = altitudeMetres is { } height ? BoilingPoint.UsualHectopascalAt(height) : null,
        };
        foreach (SpecFault fault in SpecAgainstCell.Check(spec, abilities))
        {
            cell.Fault("spec", $"does not fit this cell: {fault.Problem}", fault.Remedy);
        }
    }

    /// <summary>What one count of a whole-number register is worth, mbar; null where the register says nothing of it.</summary>
    private static double? StepOf(ChannelDefinition gauge, IReadOnlyList<DeviceOptions> devices)
    {
        ModbusPoint? point = (devices.FirstOrDefault(d => d.Id == gauge.Device) as ModbusDeviceOptions)?.Points.FirstOrDefault(p => p.Id == gauge.Point);
        ChannelConversion conversion = gauge.Conversion;
        if (point is null || point.Type is PointType.Float32 or PointType.Float64 || conversion.Word != WordFormat.Number)
        {
            return null;
        }

        // With a law the range that it gives tells more than the counts of its signal.
        return conversion.Law is null ? PressureUnits.Convert(Math.Abs(conversion.Scale), conversion.PressureUnit, PressureUnit.Millibar) : null;
    }
}
