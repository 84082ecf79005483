using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Commands;

/// <summary>A thermocouple channel of a configuration, as it is today.</summary>
/// <param name="Definition">The channel.</param>
/// <param name="Type">Its thermocouple.</param>
/// <param name="Chain">What the cell's spec says of its measurements; null: nothing.</param>
/// <param name="Now">Today: which calibration holds.</param>
internal sealed record ConvertChannel(ChannelDefinition Definition, Thermocouple Type, MeasurementChain? Chain, Timestamp Now)
{
    private static readonly UncertaintyBudget s_unknown = new([], [], "nothing is known of this channel's errors: add \"uncertainty\" to it in the configuration");

    /// <summary>The calibration that holds today; null without one.</summary>
    public Calibration? Calibration => Definition.Conversion.Calibrations.At(Now);

    /// <summary>The cold junction's temperature where the channel says it; null: it is measured, and must be given.</summary>
    public double? FixedColdJunctionCelsius => Definition.Conversion.ColdJunction switch
    {
        ColdJunctionSource.Fixed known => known.Celsius,
        ColdJunctionSource.AlreadyApplied => 0,
        _ => null,
    };

    /// <summary>Finds a channel by its id; null with the reason.</summary>
    public static ConvertChannel? Find(string configuration, string id, int? cell, Timestamp now, out string? fault)
    {
        ConfigurationResult result = ConfigurationReader.ReadFile(configuration, ServeCommand.Environment());
        if (result.Node is not { } node)
        {
            fault = string.Join(' ', result.Faults.Select(f => $"{f.Path} {f.Problem}. {f.Remedy}"));
            return null;
        }

        (ChannelDefinition Channel, CellConfiguration Cell)[] all =
            [.. node.Cells.Where(c => cell is null || c.Definition.Number == cell).SelectMany(c => c.Definition.Channels.Select(channel => (channel, c)))];
        (ChannelDefinition Channel, CellConfiguration Cell)[] found = [.. all.Where(entry => entry.Channel.Id == id)];
        if (found.Length != 1)
        {
            fault = found.Length == 0
                ? $"--channel {id}: there is no such channel. Use one of: {string.Join(", ", all.Select(entry => entry.Channel.Id).Distinct())}."
                : $"--channel {id} is in cells {string.Join(", ", found.Select(entry => entry.Cell.Definition.Number))}: say which with --cell.";
            return null;
        }

        ChannelDefinition channel = found[0].Channel;
        if ((channel.Conversion.Thermocouple ?? channel.TemperatureUncertainty?.Letter) is not { } letter)
        {
            fault = $"--channel {id} is no thermocouple, so there is no EMF to convert; its budget while it runs is a call of the live hub, budget(cell, channel).";
            return null;
        }

        fault = null;
        return new ConvertChannel(channel, Thermocouple.Of(letter), found[0].Cell.Spec?.Measurement, now);
    }

    public UncertaintyBudget BudgetAt(double celsius, double coldJunctionCelsius) =>
        ChannelBudget.At(Definition, celsius, Now, Chain, coldJunctionCelsius) ?? s_unknown;
}
