using System.Text.Json.Nodes;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Signals.Filters;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Configuration;

/// <summary>What is known of a channel's errors, and how it is smoothed, in the configuration of a node.</summary>
public sealed class ChannelSensorsTests
{
    private const int Edge = 0; // mV of type K
    private const int Chamber = 10; // mbar
    private const int Junction = 11; // degC

    public static TheoryData<int, string, string> Parts => new()
    {
        { Edge, "uncertainty", """{ "class": "iec1", "extension": "class1", "coldJunction_K": 0.5, "instrument_K": 0.5, "resolution_K": 0.1, "attachment_K": 1 }""" },
        { Chamber, "uncertainty", """{ "instrument_mbar": 1, "instrument_share": 0.15, "resolution_mbar": 0.1, "ambient_mbar": 1, "gasDependent": true }""" },
        { Junction, "uncertainty", """{ "sensor_K": 0.3, "instrument_K": 0.1 }""" },
        { Junction, "uncertainty", """{ "class": "astmSpecial", "thermocouple": "J", "extension": "none" }""" },
        { Edge, "filter", """{ "kind": "medianOfThree" }""" },
        { Edge, "filter", """{ "kind": "savitzkyGolay", "window": 7, "order": 3 }""" },
        { Chamber, "bands", """{ "kind": "ne43", "filter_s": 3 }""" },
    };

    public static TheoryData<int, string, string, string, string> Wrong => new()
    {
        { Edge, "uncertainty", """{ "class": "A" }""", ".class", "iec1, iec2" },
        { Edge, "uncertainty", """{ "coldJunction_K": -1 }""", ".coldJunction_K", "from 0 to 100" },
        { Edge, "uncertainty", """{ "instrument_mbar": 1 }""", ".instrument_mbar", "instrument_K" },
        { Edge, "uncertainty", """{ "extension": "long" }""", ".extension", "none, class1, class2" },
        { Edge, "uncertainty", """{ "sensor_K": 1 }""", ".sensor_K", "Write class" },
        { Edge, "uncertainty", """{ "class": "iec1", "thermocouple": "J" }""", ".thermocouple", "Leave it out" },
        { Junction, "uncertainty", """{ "class": "iec1" }""", ".thermocouple", "which type" },
        { Junction, "uncertainty", """{ "class": "iec1", "thermocouple": "K", "sensor_K": 1 }""", ".sensor_K", "Keep class" },
        { Chamber, "uncertainty", """{ "instrument_share": 15 }""", ".instrument_share", "from 0 to 1" },
        { Chamber, "uncertainty", """{ "class": "iec1" }""", ".class", "is not a known key" },
        { Edge, "filter", """{ "kind": "mainsAverage" }""", ".kind", "20 ms at 50 Hz" },
        { Edge, "filter", """{ "kind": "savitzkyGolay", "window": 6 }""", ".window", "odd number" },
        { Edge, "filter", """{ "kind": "savitzkyGolay", "window": 3, "order": 3 }""", ".window", "greater than the order" },
        { Edge, "filter", """{ "kind": "kalman" }""", ".kind", "medianOfThree, savitzkyGolay" },
        { Edge, "filter", """{ "kind": "medianOfThree", "window": 5 }""", ".window", "is not a known key" },
    };

    [Theory]
    [MemberData(nameof(Parts))]
    public void Every_part_is_read_without_a_fault(int channel, string key, string value) => Assert.Empty(Read(channel, key, value).Faults);

    [Theory]
    [MemberData(nameof(Wrong))]
    public void A_fault_is_named_by_its_path_with_a_remedy(int channel, string key, string value, string path, string message)
    {
        ConfigurationResult result = Read(channel, key, value);
        Assert.Null(result.Node);
        Assert.Contains(
            result.Faults,
            f => f.Path == $"cells[0].channels[{channel}].{key}{path}" && $"{f.Problem} {f.Remedy}".Contains(message, StringComparison.Ordinal));
    }

    [Fact]
    public void What_is_known_becomes_the_channels_budget()
    {
        ChannelDefinition channel = Channel(Edge, "uncertainty", """{ "class": "iec2", "extension": "class1", "attachment_K": 0.7 }""");
        Assert.Equal(
            new TemperatureUncertainty { Wire = ToleranceClass.Iec2, ExtensionClass = 1, AttachmentKelvin = 0.7 }, channel.TemperatureUncertainty);
        UncertaintyBudget budget = ChannelBudget.At(channel, 245, default)!;
        Assert.Equal(2 * Math.Sqrt(((2.5 * 2.5) + (1.5 * 1.5)) / 3 + 0.49), budget.Expanded!.Value, 1e-12);
        Assert.Equal(["cold junction not included", "instrument not included", "resolution not included"], budget.NotIncluded);

        Assert.False(Channel(Edge, "uncertainty", """{ "extension": "none" }""").TemperatureUncertainty!.HasExtension);
        Assert.Equal(0.15, Channel(Chamber, "uncertainty", """{ "instrument_share": 0.15 }""").PressureUncertainty!.InstrumentShare);
    }

    [Fact]
    public void Filter_becomes_the_channels_own() => Assert.Equal(
        new FilterDefinition(FilterKind.SavitzkyGolay) { Window = 5, Order = 2 },
        Channel(Edge, "filter", """{ "kind": "savitzkyGolay", "window": 5 }""").Filter);

    private static ChannelDefinition Channel(int channel, string key, string value) =>
        Read(channel, key, value).Node!.Cells[0].Definition.Channels[channel];

    private static ConfigurationResult Read(int channel, string key, string value)
    {
        JsonNode json = Demo();
        json["cells"]![0]!["channels"]![channel]![key] = JsonNode.Parse(value);
        return ReadAll(json);
    }

    private static ConfigurationResult ReadAll(JsonNode json) =>
        ConfigurationReader.Read(json.ToJsonString(), [], name => File.ReadAllBytes(Path.Combine(DemoFolder, name)));

    private static JsonNode Demo() => JsonNode.Parse(File.ReadAllText(Path.Combine(DemoFolder, "thermowatch.json")))!;

    private static string DemoFolder => Path.Combine(Repository.Root, "src", "ThermoWatch.Service", "Demo");
}
