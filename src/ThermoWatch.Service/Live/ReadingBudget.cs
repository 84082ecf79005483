using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Live;

/// <summary>Opens the uncertainty budget of a channel's newest reading, line by line.</summary>
internal static class ReadingBudget
{
    /// <param name="cell">The cell.</param>
    /// <param name="chain">What the spec of the next run says of its measurements; null: nothing.</param>
    /// <param name="readings">Newest reading of each channel; empty before the first.</param>
    /// <param name="channelId">The channel; null comes back when there is none of that name.</param>
    public static BudgetLive? Of(CellDefinition cell, MeasurementChain? chain, Reading[] readings, string channelId)
    {
        for (int i = 0; i < cell.Channels.Count; i++)
        {
            ChannelDefinition channel = cell.Channels[i];
            if (channel.Id == channelId)
            {
                Reading reading = i < readings.Length ? readings[i] : Reading.Bad(default, QualityReason.NoReading);
                UncertaintyBudget? budget = reading.Quality.HasValue
                    ? ChannelBudget.At(channel, reading.Value, reading.Time, chain, ColdJunctionOf(cell, channel, readings))
                    : null;
                return ToLive(channel, reading, budget);
            }
        }

        return null;
    }

    private static double? ColdJunctionOf(CellDefinition cell, ChannelDefinition channel, Reading[] readings)
    {
        if (channel.Conversion.ColdJunction is not ColdJunctionSource.FromChannel from)
        {
            return (channel.Conversion.ColdJunction as ColdJunctionSource.Fixed)?.Celsius;
        }

        for (int i = 0; i < readings.Length; i++)
        {
            if (cell.Channels[i].Id == from.ChannelId)
            {
                return readings[i].Quality.HasValue ? readings[i].Value : null;
            }
        }

        return null;
    }

    private static BudgetLive ToLive(ChannelDefinition channel, Reading reading, UncertaintyBudget? budget) => new()
    {
        Channel = channel.Id,
        T = reading.Quality.HasValue ? reading.Time.ToUnixMilliseconds() : null,
        Value = reading.Quality.HasValue ? reading.Value : null,
        U = budget?.Expanded,
        Lines = [.. (budget?.Lines ?? []).Select(line => new BudgetLine
        {
            Name = line.Name,
            Stated = line.Stated,
            Form = Words.Of(line.Form),
            Sensitivity = line.Sensitivity,
            Standard = line.Contribution,
            Source = line.Source,
        })],
        NotIncluded = [.. budget?.NotIncluded ?? []],
        NoUncertainty = !reading.Quality.HasValue ? $"there is no value: {reading.Quality}"
            : budget is null ? "nothing is known of this channel's errors: add \"uncertainty\" to it in the configuration"
            : budget.Unknown,
    };
}
