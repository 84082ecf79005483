using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Configuration;

/// <summary>The published schema and the reader ask for the same keys and words.</summary>
public sealed class SchemaTests
{
    private static readonly string SourceFolder = Path.Combine(Repository.Root, "src", "ThermoWatch.Service");
    private static readonly JsonSchema Schema = JsonSchema.FromText(File.ReadAllText(Path.Combine(SourceFolder, "Configuration", "thermowatch.schema.json")));

    [Fact]
    public void The_demo_configuration_fits() => Assert.True(Fits(Demo()));

    [Fact]
    public void An_unknown_key_does_not()
    {
        JsonNode json = Demo();
        json["cells"]![0]!["colour"] = "red";
        Assert.False(Fits(json));
    }

    [Theory]
    [MemberData(nameof(ChannelSensorsTests.Parts), MemberType = typeof(ChannelSensorsTests))]
    public void What_the_reader_takes_of_a_channels_sensor_fits(int channel, string key, string value)
    {
        JsonNode json = Demo();
        json["cells"]![0]!["channels"]![channel]![key] = JsonNode.Parse(value);
        Assert.True(Fits(json));
    }

    [Fact]
    public void The_schema_names_the_conditions_that_are_watched()
    {
        JsonNode schema = JsonNode.Parse(File.ReadAllText(Path.Combine(SourceFolder, "Configuration", "thermowatch.schema.json")))!;
        IEnumerable<string> named = schema["$defs"]!["condition"]!["properties"]!["condition"]!["enum"]!.AsArray().Select(n => n!.GetValue<string>());
        Assert.Equal(Domain.Engine.CellEngine.Conditions.Order(StringComparer.Ordinal), named.Order(StringComparer.Ordinal));
    }

    /// <summary>Every key and every word that the schema offers, tried on the reader.</summary>
    [Theory]
    [InlineData("device")]
    [InlineData("point")]
    [InlineData("channel")]
    [InlineData("cell")]
    public void The_reader_knows_every_key_and_word_of_the_schema(string part)
    {
        JsonObject properties = JsonNode.Parse(File.ReadAllText(Path.Combine(SourceFolder, "Configuration", "thermowatch.schema.json")))!["$defs"]![part]!["properties"]!.AsObject();
        foreach ((string key, JsonNode? rule) in properties)
        {
            if (part == "point" && key == "number")
            {
                continue; // of text devices; DeviceReaderTests reads it
            }

            JsonNode?[] values = rule!["enum"] is JsonArray words ? [.. words] : [rule["default"]];
            foreach (JsonNode? value in values)
            {
                if (value is null)
                {
                    continue;
                }

                JsonNode json = Demo();
                Target(json, part)[key] = value.DeepClone();
                IReadOnlyList<Acquisition.ConfigurationFault> faults = ConfigurationReader.Read(json.ToJsonString(), [], _ => File.ReadAllBytes(Path.Combine(SourceFolder, "Demo", "traction-board.spec.json"))).Faults;
                Assert.DoesNotContain(faults, f => f.Path.EndsWith("." + key, StringComparison.Ordinal) && (f.Problem.Contains("not a known key", StringComparison.Ordinal) || f.Remedy.StartsWith("Use one of: ", StringComparison.Ordinal)));
            }
        }
    }

    private static JsonNode Target(JsonNode json, string part) => part switch
    {
        "device" => json["cells"]![0]!["devices"]![0]!,
        "point" => json["cells"]![0]!["devices"]![0]!["points"]![0]!,
        "channel" => json["cells"]![0]!["channels"]![0]!,
        _ => json["cells"]![0]!,
    };

    private static JsonNode Demo() => JsonNode.Parse(File.ReadAllText(Path.Combine(SourceFolder, "Demo", "thermowatch.json")))!;

    private static bool Fits(JsonNode json) => Schema.Evaluate(JsonSerializer.SerializeToElement(json)).IsValid;
}
