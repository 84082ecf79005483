using System.Text;
using System.Text.Json.Nodes;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Tests.Configuration;

public sealed class ConfigurationReaderTests
{
    private static readonly string Demo = Embedded("thermowatch.json");

    public static TheoryData<string, string, string, string> Faults => new()
    {
        // what is replaced, by what, the path named, a part of the message
        { "\"number\": 1", "\"number\": 0", "cells[0].number", "Use a number from 1 to 99" },
        { "\"number\": 1", "\"number\": \"one\"", "cells[0].number", "is the text \"one\"" },
        { "\"driver\": \"modbusTcp\"", "\"driver\": \"modbus\"", "cells[0].devices[0].driver", "Use one of: modbusTcp" },
        { "\"host\": \"127.0.0.1\",\n          \"port\"", "\"port\"", "cells[0].devices[0].host", "is missing" },
        { "\"unit\": 1,", "\"unit\": 300,", "cells[0].devices[0].unit", "247" },
        { "\"period_ms\": 100", "\"period\": 100", "cells[0].devices[0].period", "Did you mean \"period_ms\"?" },
        { "\"address\": 2,", "\"address\": 65535,", "cells[0].devices[0].points[1].address", "65534" },
        { "\"wordOrder\": \"ABCD\" },", "\"wordOrder\": \"ABDC\" },", "cells[0].devices[0].points[0].wordOrder", "DCBA" },
        { "\"id\": \"tc2\", \"table\"", "\"id\": \"tc1\", \"table\"", "cells[0].devices[0].points[1].id", "tc1" },
        { "\"id\": \"tc2\", \"name\"", "\"id\": \"tc1\", \"name\"", "cells[0].channels", "2 times" },
        { "\"device\": \"amplifier\", \"point\": \"tc1\"", "\"device\": \"amp\", \"point\": \"tc1\"", "cells[0].channels[0].device", "Use one of: amplifier" },
        { "\"coldJunction\": \"cj\" },", "\"coldJunction\": \"tc2\" },", "cells[0].channels[0].coldJunction", "Use one of: cj" },
        { "\"thermocouple\": \"K\"", "\"thermocouple\": \"Q\"", "cells[0].channels[0].thermocouple", "B, E, J, K" },
        { "\"thermocouple\": \"K\", \"coldJunction\": \"cj\" },", "\"thermocouple\": \"K\" },", "cells[0].channels[0].coldJunction", "an EMF alone is no temperature" },
        { "\"role\": \"vapour\"", "\"role\": \"steam\"", "cells[0].channels[8].role", "vapour" },
        { "\"unit\": \"mbar\"", "\"unit\": \"degC\"", "cells[0].channels[10].unit", "gives no pressure" },
        { "\"spec\": \"traction-board.spec.json\"", "\"spec\": \"other.json\"", "cells[0].spec", "cannot be read" },
        { "\"carriers\": [\"A\"]", "\"carriers\": []", "cells[0].carriers", "is empty" },
        { "\"carriers\": [\"A\"]", "\"alarms\": { \"process\": \"free\" }", "cells[0].alarms.process", "locked, open" },
        { "\"carriers\": [\"A\"]", "\"alarms\": { \"conditions\": [{ \"condition\": \"tooWarm\" }] }", "cells[0].alarms.conditions[0].condition", "Use one of: tooHot" },
        { "\"carriers\": [\"A\"]", "\"alarms\": { \"actions\": [{ \"name\": \"OPEN DOOR\", \"effect\": \"endHold\" }] }", "cells[0].alarms.actions[0].name", "around a guard" },
        { "\"carriers\": [\"A\"]", "\"alarms\": { \"actions\": [{ \"name\": \"VENT\", \"effect\": \"endHold\", \"phases\": [\"holding\"] }] }", "cells[0].alarms.actions[0].phases", "Use some of: load" },
        { "\"role\": \"vapour\"", "\"role\": \"vapour\", \"signal\": \"start\"", "cells[0].channels[8].signal", "role signal only" },
        { "\"role\": \"vapour\"", "\"role\": \"signal\", \"signal\": \"begin\"", "cells[0].channels[8].signal", "Use one of: start" },
        { "\"role\": \"vapour\"", "\"role\": \"position\"", "cells[0].channels[8].unit", "gives no plain number" },
        { "\"carriers\": [\"A\"]", "\"rules\": { \"cooled\": 60 }", "cells[0].rules.cooled", "cooledBelow" },
        { "\"carriers\": [\"A\"]", "\"rules\": { \"startSlope\": 0 }", "cells[0].rules.startSlope", "0.01" },
        { "\"point\": \"pressure\", \"unit\": \"mbar\"", "\"point\": \"pressure\", \"unit\": \"mbar\", \"range\": [10, 1200]", "cells[0].spec", "shows nothing below 10 mbar" },
        { "\"point\": \"pressure\", \"unit\": \"mbar\"", "\"point\": \"pressure\", \"unit\": \"mbar\", \"law\": { \"kind\": \"linear\", \"signal\": [0, 10], \"value\": [0, 2000] }", "cells[0].spec", "the target is below 3 of its steps" },
        { "\"number\": 1,", "\"number\": 1, \"altitude_m\": 1600,", "cells[0].spec", "\"paste sheet\" ($.limits[2])" },
        { "\"cells\": [", "\"recording\": { \"keepIdleDays\": 0 }, \"cells\": [", "recording.keepIdleDays", "10000" },
        { "\"cells\": [", "\"recording\": { \"keepDays\": 9 }, \"cells\": [", "recording.keepDays", "keepIdleDays" },
    };

    [Fact]
    public void What_leaves_the_record_is_nothing_unless_it_is_said()
    {
        Assert.Equal((null, null), (Read(Demo).Node!.Keeping.IdleAge, Read(Demo).Node!.Keeping.LeastFreeBytes));
        ConfigurationResult said = Read(Demo.Replace("\"cells\": [", "\"recording\": { \"keepIdleDays\": 90, \"leastFree_GB\": 2.5 }, \"cells\": [", StringComparison.Ordinal));
        Assert.Equal((TimeSpan.FromDays(90), 2_500_000_000L), (said.Node!.Keeping.IdleAge, said.Node!.Keeping.LeastFreeBytes));
    }

    [Fact]
    public void The_demo_configuration_is_read_whole()
    {
        ConfigurationResult result = Read(Demo);
        Assert.Empty(result.Faults);
        CellConfiguration cell = Assert.Single(result.Node!.Cells);
        var device = (ModbusTcpDeviceOptions)Assert.Single(cell.Devices);
        Assert.Equal(15, device.Points.Count);
        Assert.Equal(15, cell.Definition.Channels.Count);
        Assert.Equal(ChannelRole.ColdJunction, cell.Definition.Channels[^4].Role);
        Assert.Equal(new ColdJunctionSource.FromChannel("cj"), cell.Definition.Channels[0].Conversion.ColdJunction);
        Assert.Equal("Traction board", cell.Spec!.Name);
        Assert.Equal([("Traction board", 12), ("Gate driver board", 9)], cell.Products.Select(p => (p.Name, p.Recipe!.Value)));
    }

    [Fact]
    public void Alarms_and_actions_of_a_cell_are_read_whole()
    {
        const string Alarms = """
            "alarms": {
              "process": "open", "longestShelving_h": 2, "fluidStability_C": 270, "motionLimit": 0.5,
              "actions": [{ "name": "VENT NOW", "effect": "endHold", "lead_s": 3, "phases": ["hold"] }],
              "conditions": [{ "condition": "tooHot", "priority": "low", "onDelay_s": 2, "offDelay_s": 5, "deadband": 1.5, "latching": true, "reAlarm_s": 600 }, { "condition": "soakMissed", "off": true }]
            },
            """;
        ConfigurationResult result = Read(Demo.Replace("\"carriers\": [\"A\"],", Alarms, StringComparison.Ordinal));
        Assert.Empty(result.Faults);
        AlarmRules rules = result.Node!.Cells[0].Definition.Alarms;
        Assert.Equal(
            (ProcessControl.Open, TimeSpan.FromHours(2), 270, 0.5), (rules.Process, rules.LongestShelving, rules.FluidStability, rules.MotionLimit!.Value));
        MachineAction action = Assert.Single(rules.Actions);
        Assert.Equal(("VENT NOW", ActionEffect.EndHold, TimeSpan.FromSeconds(3), "hold"), (action.Name, action.Effect, action.LeadTime, Assert.Single(action.Phases)));
        Assert.Equal(
            new AlarmSettings
            {
                Priority = AlarmPriority.Low,
                OnDelay = TimeSpan.FromSeconds(2),
                OffDelay = TimeSpan.FromSeconds(5),
                Deadband = 1.5,
                Latching = true,
                ReAlarm = TimeSpan.FromMinutes(10),
            },
            rules.Conditions["tooHot"]);
        Assert.False(rules.Conditions["soakMissed"].Enabled);
    }

    [Fact]
    public void Rules_of_a_cell_are_read_and_what_is_left_out_is_as_defined()
    {
        ConfigurationResult result = Read(Demo.Replace("\"carriers\": [\"A\"]", "\"carriers\": [\"A\"], \"rules\": { \"cooledBelow\": 55, \"chamberPosition\": 2, \"endAfterVent_s\": 12.5 }", StringComparison.Ordinal));
        Assert.Empty(result.Faults);
        CellRules rules = Assert.Single(result.Node!.Cells).Definition.Rules;
        Assert.Equal(new CellRules { CooledBelow = 55, ChamberPosition = 2, EndAfterVent = TimeSpan.FromSeconds(12.5) }, rules with { LogarithmicGauges = new CellRules().LogarithmicGauges });
    }

    [Theory]
    [MemberData(nameof(Faults))]
    public void A_fault_is_named_by_its_path_with_a_remedy(string right, string wrong, string path, string message)
    {
        Assert.Contains(right, Demo, StringComparison.Ordinal);
        int at = Demo.IndexOf(right, StringComparison.Ordinal);
        ConfigurationResult result = Read(string.Concat(Demo.AsSpan(0, at), wrong, Demo.AsSpan(at + right.Length)));
        Assert.Null(result.Node);
        Assert.Contains(result.Faults, f => f.Path == path && $"{f.Problem} {f.Remedy}".Contains(message, StringComparison.Ordinal));
    }

    [Fact]
    public void Devices_that_quarrel_about_a_wire_are_refused()
    {
        const string device = """{ "id": "@", "driver": "modbusRtu", "serial": { "port": "/dev/ttyUSB7", "baud": # }, "points": [ { "id": "p", "manual": 40001, "type": "int16" } ] }""";
        const string cell = """{ "number": @, "devices": [ # ], "channels": [ { "id": "c", "role": "auxiliary", "device": "a", "point": "p", "unit": "1" } ] }""";
        string one = device.Replace("@", "a").Replace("#", "9600"), other = device.Replace("@", "b").Replace("#", "19200");
        ConfigurationResult result = Read("{ \"cells\": [ " + cell.Replace("@", "1").Replace("#", one + "," + other) + "," + cell.Replace("@", "2").Replace("#", one) + " ] }");
        Assert.Equal(["cells[0].devices[1]", "cells[1].devices[0]"], result.Faults.Select(f => f.Path));
        Assert.Contains("other line settings", result.Faults[0].Problem, StringComparison.Ordinal);
        Assert.Contains("another cell", result.Faults[1].Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Counts_of_two_millibar_cannot_tell_a_target_of_five()
    {
        string counts = Demo.Replace("\"address\": 22, \"type\": \"float32\", \"wordOrder\": \"ABCD\"", "\"address\": 22, \"type\": \"int16\"", StringComparison.Ordinal);
        Assert.NotNull(Read(counts).Node);
        ConfigurationResult result = Read(counts.Replace("\"unit\": \"mbar\"", "\"unit\": \"mbar\", \"scale\": 2", StringComparison.Ordinal));
        Assert.Contains("tells 2 mbar apart", Assert.Single(result.Faults).Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void All_faults_come_at_once()
    {
        string wrong = Demo.Replace("\"float32\"", "\"float\"", StringComparison.Ordinal).Replace("\"product\"", "\"produce\"", StringComparison.Ordinal);
        Assert.Equal(12 + 8, Read(wrong).Faults.Count);
    }

    [Theory]
    [InlineData("", "line 1")]
    [InlineData("{ \"cells\": [ }", "line 1")]
    [InlineData("{\n  \"cells\" [\n", "line 2")]
    [InlineData("null", "(file)")]
    [InlineData("[]", "(file)")]
    [InlineData("{}", "cells")]
    public void What_is_not_a_configuration_says_where(string json, string path) =>
        Assert.Contains(Read(json).Faults, f => f.Path == path);

    [Fact]
    public void Environment_variables_replace_single_values()
    {
        ConfigurationResult result = ConfigurationReader.Read(
            Demo,
            [new("THERMOWATCH__port", "6000"), new("thermowatch__cells__0__devices__0__host", "10.0.0.7"), new("OTHER", "x")],
            name => Encoding.UTF8.GetBytes(Embedded(name)));
        Assert.Equal(6000, result.Node!.Port);
        Assert.Equal("10.0.0.7", ((ModbusTcpDeviceOptions)result.Node.Cells[0].Devices[0]).Host);
    }

    [Fact]
    public void An_environment_variable_that_names_no_place_is_a_fault()
    {
        ConfigurationResult result = ConfigurationReader.Read(
            Demo, [new("THERMOWATCH__cells__7__name", "x")], name => Encoding.UTF8.GetBytes(Embedded(name)));
        Assert.Equal("THERMOWATCH__cells__7__name", Assert.Single(result.Faults).Path);
    }

    [Fact]
    public void No_damage_to_the_text_is_an_exception()
    {
        // Every value of the tree replaced by something of another kind, one at a time.
        JsonNode root = JsonNode.Parse(Demo)!;
        int replaced = 0;
        foreach (JsonNode? other in new JsonNode?[] { null, JsonValue.Create(-7.5), JsonValue.Create("?"), new JsonArray(), new JsonObject() })
        {
            foreach (string path in Leaves(root, ""))
            {
                JsonNode copy = JsonNode.Parse(Demo)!;
                Put(copy, path, other?.DeepClone());
                ConfigurationResult result = Read(copy.ToJsonString());
                Assert.Equal(result.Node is null, result.Faults.Count > 0);
                replaced++;
            }
        }

        Assert.True(replaced > 500);
    }

    private static ConfigurationResult Read(string json) => ConfigurationReader.Read(
        json, [], name => name is "traction-board.spec.json" or "gate-driver.spec.json" ? Encoding.UTF8.GetBytes(Embedded(name)) : throw new FileNotFoundException(name + " is not there."));

    private static string Embedded(string name)
    {
        using Stream stream = typeof(ConfigurationReader).Assembly.GetManifestResourceStream("ThermoWatch.Service.Demo." + name)!;
        return new StreamReader(stream).ReadToEnd();
    }

    private static IEnumerable<string> Leaves(JsonNode? node, string path) => node switch
    {
        JsonObject o => o.SelectMany(p => Leaves(p.Value, $"{path}/{p.Key}")).Append(path),
        JsonArray a => a.SelectMany((v, i) => Leaves(v, $"{path}/{i}")).Append(path),
        _ => [path],
    };

    private static void Put(JsonNode root, string path, JsonNode? value)
    {
        string[] keys = path.Split('/', StringSplitOptions.RemoveEmptyEntries);
        if (keys.Length == 0)
        {
            return;
        }

        JsonNode parent = keys[..^1].Aggregate(root, (n, k) => n is JsonArray a ? a[int.Parse(k)]! : n[k]!);
        if (parent is JsonArray array)
        {
            array[int.Parse(keys[^1])] = value;
        }
        else
        {
            parent[keys[^1]] = value;
        }
    }
}
