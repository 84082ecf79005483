using ThermoWatch.Domain.Signals.Filters;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads which smoothed value is shown beside a channel's own.</summary>
internal static class FilterReader
{
    private const string Mains = "mainsAverage";

    /// <summary>Without the mean over mains periods: the fastest device here gives 100 readings a second, and twice the mains is more.</summary>
    private static readonly Dictionary<string, FilterKind> Kinds = new()
    {
        ["medianOfThree"] = FilterKind.MedianOfThree,
        ["savitzkyGolay"] = FilterKind.SavitzkyGolay,
    };

    public static FilterDefinition? Read(JsonScope scope)
    {
        if (scope.Find("kind") is { } kindWritten && kindWritten.ValueKind == System.Text.Json.JsonValueKind.String && kindWritten.GetString() == Mains)
        {
            scope.Fault(
                "kind", $"is \"{Mains}\", which needs readings faster than twice the mains",
                "Let the instrument itself integrate over whole mains periods: 20 ms at 50 Hz, 100 ms for 50 and 60 Hz. Here use medianOfThree or savitzkyGolay.");
            return null;
        }

        FilterKind kind = scope.Word("kind", Kinds, (FilterKind?)null);
        FilterDefinition filter = new(kind)
        {
            Window = kind == FilterKind.SavitzkyGolay ? scope.Whole("window", 3, 101, null) : 0,
            Order = kind == FilterKind.SavitzkyGolay ? scope.Whole("order", 0, 5, 2) : 0,
        };
        scope.NothingElse();
        if (kind == FilterKind.SavitzkyGolay && (filter.Window % 2 == 0 || filter.Window <= filter.Order))
        {
            scope.Fault("window", $"is {filter.Window}", $"Use an odd number of readings greater than the order, which is {filter.Order}.");
        }

        return filter;
    }
}
