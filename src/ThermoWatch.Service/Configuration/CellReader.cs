using System.Collections.Immutable;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads one cell of the configuration.</summary>
internal static class CellReader
{
    public static CellConfiguration Read(JsonScope cell, Func<string, Spec?> readSpec)
    {
        int number = cell.Whole("number", 1, 99, null);
        string name = cell.OptionalText("name") ?? $"Cell {number}";
        IReadOnlyList<string> carriers = cell.Has("carriers") ? cell.Texts("carriers", "Name at least one carrier.") : ["A"];
        IReadOnlyList<JsonScope> deviceScopes = cell.Objects("devices", "Describe at least one device.");
        IReadOnlyList<JsonScope> channelScopes = cell.Objects("channels", "Describe at least one channel.");
        Spec? spec = cell.OptionalText("spec") is { } specFile ? readSpec(specFile) : null;
        List<Spec> products = [.. (cell.Has("specs") ? cell.Texts("specs", "Name at least one spec file, or leave the key out.") : []).Select(readSpec).OfType<Spec>()];
        VerificationRule? verification = cell.Object("verification") is { } due ? ReadVerification(due) : null;
        AlarmRules alarms = AlarmReader.Read(cell.Object("alarms"));
        CellRules rules = RulesReader.Read(cell);
        double? altitude = cell.Has("altitude_m") ? cell.Number("altitude_m", -500, 6000, null) : null;
        cell.NothingElse();

        List<DeviceOptions> devices = [.. deviceScopes.Select(DeviceReader.Read).OfType<DeviceOptions>()];
        List<ChannelDefinition> channels = [.. channelScopes.Select(c => ChannelReader.Read(c, carriers))];
        CheckUnique(cell, "devices", devices.Select(d => d.Id));
        CheckUnique(cell, "channels", channels.Select(c => c.Id));
        for (int i = 0; i < channels.Count; i++)
        {
            CheckSource(channelScopes[i], channels[i], devices);
            CheckCompanion(channelScopes[i], "coldJunction", (channels[i].Conversion.ColdJunction as ColdJunctionSource.FromChannel)?.ChannelId, ChannelRole.ColdJunction, channels);
            CheckCompanion(channelScopes[i], "ambientChannel", channels[i].Conversion.AmbientChannel, ChannelRole.Barometer, channels);
        }

        if (spec is not null && !products.Exists(p => p.Name == spec.Name && p.Version == spec.Version))
        {
            products.Add(spec);
        }

        foreach (Spec product in products)
        {
            SpecCheck.Check(cell, product, altitude, channels, devices);
        }

        foreach (IGrouping<int?, Spec> twice in products.Where(p => p.Recipe is not null).GroupBy(p => p.Recipe).Where(g => g.Select(p => p.Name).Distinct().Count() > 1))
        {
            cell.Fault("specs", $"has recipe {twice.Key} in {string.Join(" and ", twice.Select(p => p.Name))}", "Give a recipe to one spec: else nobody can tell which product runs.");
        }

        CellDefinition definition = new()
        {
            Number = number,
            Name = name,
            Carriers = carriers,
            Devices = [.. devices.Select(d => d.ToDefinition())],
            Channels = channels,
            Alarms = alarms,
            Rules = rules with { LogarithmicGauges = [.. channels.Where(RulesReader.IsLogarithmic).Select(c => c.Id)] },
        };
        return new(definition, devices, spec) { Products = products, Verification = verification };
    }

    private static VerificationRule ReadVerification(JsonScope due)
    {
        var byDefault = new VerificationRule();
        var rule = new VerificationRule
        {
            Runs = due.Has("runs") ? due.Whole("runs", 1, 1_000_000, null) : null,
            Age = due.Has("days") ? TimeSpan.FromDays(due.Number("days", 0.1, 3660, null)) : null,
            After = due.Has("after") ? ReadKinds(due) : byDefault.After,
        };
        due.NothingElse();
        return rule;
    }

    private static ImmutableArray<ServiceKind> ReadKinds(JsonScope due)
    {
        Dictionary<string, ServiceKind> kinds = Words.Of<ServiceKind>();
        string[] said = [.. due.Texts("after", "Name at least one kind of work, or leave the key out.")];
        foreach (string unknown in said.Where(word => !kinds.ContainsKey(word)))
        {
            due.Fault("after", $"names \"{unknown}\"", "Use some of: " + string.Join(", ", kinds.Keys) + ".");
        }

        return [.. said.Where(kinds.ContainsKey).Select(word => kinds[word])];
    }

    private static void CheckUnique(JsonScope scope, string key, IEnumerable<string> ids)
    {
        foreach (IGrouping<string, string> twice in ids.Where(id => id.Length > 0).GroupBy(id => id).Where(g => g.Count() > 1))
        {
            scope.Fault(key, $"uses the id \"{twice.Key}\" {twice.Count()} times", "Give each an id of its own.");
        }
    }

    private static void CheckSource(JsonScope scope, ChannelDefinition channel, List<DeviceOptions> devices)
    {
        if (channel.Device.Length == 0 || channel.Point.Length == 0)
        {
            return;
        }

        DeviceOptions? device = devices.Find(d => d.Id == channel.Device);
        if (device is null)
        {
            scope.Fault("device", $"is \"{channel.Device}\", which is not a device of this cell", "Use one of: " + string.Join(", ", devices.Select(d => d.Id)) + ".");
            return;
        }

        string points = "Use one of: " + string.Join(", ", device.PointIds) + ".";
        if (!device.PointIds.Contains(channel.Point))
        {
            scope.Fault("point", $"is \"{channel.Point}\", which {channel.Device} does not have", points);
        }

        if (channel.Conversion.Status is { Point: var status } && !device.PointIds.Contains(status))
        {
            scope.Fault("status", $"names the point \"{status}\", which {channel.Device} does not have", points);
        }
    }

    /// <summary>A channel that another one needs must be there, and be what it is taken for.</summary>
    private static void CheckCompanion(JsonScope scope, string key, string? id, ChannelRole role, List<ChannelDefinition> channels)
    {
        if (id is null || channels.Exists(c => c.Id == id && c.Role == role))
        {
            return;
        }

        string known = string.Join(", ", channels.Where(c => c.Role == role).Select(c => c.Id));
        scope.Fault(
            key, $"is \"{id}\", which is not a channel with role {Words.Of(role)}",
            known.Length > 0 ? $"Use one of: {known}." : $"Add a channel with role {Words.Of(role)}.");
    }
}

/// <summary>Reads one channel of the configuration.</summary>
internal static class ChannelReader
{
    public static ChannelDefinition Read(JsonScope scope, IReadOnlyList<string> carriers)
    {
        string id = scope.Text("id", "Give a short name of letters, digits, hyphen and underscore, such as tc1.");
        ChannelRole role = scope.Word("role", Words.Of<ChannelRole>(), (ChannelRole?)null);
        ChannelDefinition channel = new()
        {
            Id = id,
            Name = scope.OptionalText("name") ?? id,
            Role = role,
            Place = scope.Word("place", Words.Of<Place>(), (Place?)Place.Joint),
            Carrier = scope.OptionalText("carrier") ?? (role == ChannelRole.Product ? (carriers.Count > 0 ? carriers[0] : null) : null),
            Signal = scope.Has("signal") ? scope.Word("signal", Words.Of<SignalMeaning>(), (SignalMeaning?)null) : null,
            Device = scope.Text("device", "Name the device that measures it."),
            Point = scope.Text("point", "Name the point of that device."),
            Conversion = ConversionReader.Read(scope),
            Filter = scope.Object("filter") is { } filter ? FilterReader.Read(filter) : null,
        };
        channel = WithUncertainty(scope, channel);
        Check(scope, channel, carriers);
        scope.NothingElse();
        return channel;
    }

    private static ChannelDefinition WithUncertainty(JsonScope scope, ChannelDefinition channel)
    {
        if (scope.Object("uncertainty") is not { } uncertainty)
        {
            return channel;
        }

        switch (channel.Unit)
        {
            case MeasuredUnit.DegreeCelsius:
                return channel with { TemperatureUncertainty = UncertaintyReader.Temperature(uncertainty, channel.Conversion.Thermocouple) };
            case MeasuredUnit.Millibar:
                return channel with { PressureUncertainty = UncertaintyReader.Pressure(uncertainty) };
            default:
                scope.Fault("uncertainty", "belongs to a temperature or a pressure", "Delete it, or mend the unit.");
                return channel;
        }
    }

    private static void Check(JsonScope scope, ChannelDefinition channel, IReadOnlyList<string> carriers)
    {
        if (channel.Id.Any(c => !char.IsAsciiLetterOrDigit(c) && c is not ('-' or '_')))
        {
            scope.Fault("id", $"is \"{channel.Id}\"", "Use letters, digits, hyphen and underscore only.");
        }

        if (channel.Carrier is { } carrier && !carriers.Contains(carrier))
        {
            scope.Fault("carrier", $"is \"{carrier}\"", "Use one of: " + string.Join(", ", carriers) + ".");
        }

        if (channel.Signal is not null && channel.Role != ChannelRole.Signal)
        {
            scope.Fault("signal", $"is given, but the role is {Words.Of(channel.Role)}", "Use it with the role signal only.");
        }

        if (channel.Conversion.Scale == 0)
        {
            scope.Fault("scale", "is 0", "Use the factor from the instrument's manual; 0 would make every value the same.");
        }

        if (channel.Conversion is { Thermocouple: not null, ColdJunction: null } && !scope.Has("coldJunction"))
        {
            scope.Fault("coldJunction", "is missing", "Name the cold-junction channel, write its fixed temperature in degC, or alreadyApplied: an EMF alone is no temperature.");
        }
        else if (ConversionFault.Of(channel.Conversion) is { } contradiction && channel.Conversion.Scale != 0)
        {
            scope.Fault("", "contradicts itself", char.ToUpperInvariant(contradiction[0]) + contradiction[1..]);
        }

        bool temperature = channel.Role is ChannelRole.Product or ChannelRole.Vapour or ChannelRole.Transport or ChannelRole.ColdJunction
            or ChannelRole.Sump or ChannelRole.Heater or ChannelRole.CoolingWater;
        if (temperature && channel.Unit != MeasuredUnit.DegreeCelsius)
        {
            scope.Fault("unit", $"gives no temperature, which the role {Words.Of(channel.Role)} asks for", "Use degC, or mV with thermocouple and coldJunction.");
        }

        if (channel.Role is ChannelRole.Signal or ChannelRole.Position && channel.Unit != MeasuredUnit.One)
        {
            scope.Fault("unit", $"gives no plain number, which the role {Words.Of(channel.Role)} asks for", "Use 1.");
        }

        if (channel.Role is ChannelRole.Pressure or ChannelRole.Barometer && channel.Unit != MeasuredUnit.Millibar)
        {
            scope.Fault("unit", $"gives no pressure, which the role {Words.Of(channel.Role)} asks for", "Use mbar, with scale and offset for the transducer's range.");
        }
    }
}
