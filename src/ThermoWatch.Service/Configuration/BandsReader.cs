using System.Text.Json;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads what the level of an analogue signal says of it: a name, or NE 43 with thresholds of one's own.</summary>
internal static class BandsReader
{
    private const string Key = "bands";
    private const string Ne43 = "ne43";

    private static readonly Dictionary<string, SignalBands> Named = new()
    {
        [Ne43] = SignalBands.Ne43,
        ["sixTenthsOfAVoltPerDecade"] = SignalBands.SixTenthsOfAVoltPerDecade,
    };

    public static SignalBands? Read(JsonScope channel)
    {
        if (channel.Find(Key) is { ValueKind: JsonValueKind.Object })
        {
            return ReadOwn(channel.Object(Key)!);
        }

        if (channel.OptionalText(Key) is not { } name)
        {
            return null;
        }

        if (Named.TryGetValue(name, out SignalBands? bands))
        {
            return bands;
        }

        channel.Fault(Key, $"is \"{name}\"", "Use one of: " + string.Join(", ", Named.Keys) + ".");
        return null;
    }

    private static SignalBands? ReadOwn(JsonScope scope)
    {
        string kind = scope.Text("kind", $"Write \"{Ne43}\".");
        if (kind is not ("" or Ne43))
        {
            scope.Fault("kind", $"is \"{kind}\"", $"Only {Ne43} has thresholds of its own: write \"{Ne43}\".");
        }

        double failLow = scope.Number("failLow_mA", 0, 4, 3.6);
        double measureLow = scope.Number("measureLow_mA", 0, 4, 3.8);
        double measureHigh = scope.Number("measureHigh_mA", 20, 30, 20.5);
        double failHigh = scope.Number("failHigh_mA", 20, 30, 21);
        double filterSeconds = scope.Number("filter_s", 0, 60, 2);
        scope.NothingElse();
        if (failLow >= measureLow)
        {
            scope.Fault("failLow_mA", FormattableString.Invariant($"is {failLow}, not below measureLow_mA {measureLow}"), "Put the failure level below where measurement begins: 3.6 and 3.8.");
            return null;
        }

        if (failHigh <= measureHigh)
        {
            scope.Fault("failHigh_mA", FormattableString.Invariant($"is {failHigh}, not above measureHigh_mA {measureHigh}"), "Put the failure level above where measurement ends: 20.5 and 21.");
            return null;
        }

        return SignalBands.LoopMilliamperes(failLow, measureLow, measureHigh, failHigh, filterSeconds);
    }
}
