using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

internal static partial class Rules
{
    private static readonly int[] Datatypes =
    [
        .. File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference/protocol/sparkplug_datatypes.csv")).Skip(1).Select(l => int.Parse(l.Split(',')[1])).Where(n => n > 0),
    ];

    private static void Payloads()
    {
        Rule("payloads-timestamp-in-UTC", b => Timed(b, "NBIRTH", "DBIRTH", "DDATA", "DDEATH"));
        Rule("payloads-sequence-num-always-included", b => Assert.All(b.All.SelectMany(r => r.Ours).Where(m => m.Type != "NDEATH"), m => Assert.NotNull(m.Seq)));
        Rule("payloads-sequence-num-incrementing", b =>
        {
            Counts(b, "DBIRTH", "DDATA", "DDEATH", "NDATA");
            Assert.Contains(b.Ordinary.Ours.Zip(b.Ordinary.Ours.Skip(1)), pair => pair.First.Seq == 255 && pair.Second is { Type: not "NBIRTH", Seq: 0 });
        });

        Rule("payloads-name-requirement", b => Assert.All(b.All.SelectMany(r => r.Ours).SelectMany(m => m.Metrics), m => Assert.True(Name(m) is { Length: > 0 } || m["alias"] is not null)));
        Rule("payloads-alias-uniqueness", b => Assert.All(Sequences(b), s =>
        {
            long[] aliases = [.. s.Devices.Prepend(s.Node).SelectMany(m => m.Metrics).Where(m => m["alias"] is not null).Select(Alias)];
            Assert.InRange(aliases.Length, 10, 999);
            Assert.Equal(aliases.Length, aliases.Distinct().Count());
        }));
        Rule("payloads-alias-birth-requirement", b => Assert.All(Of(b, "NBIRTH", "DBIRTH").SelectMany(m => m.Metrics), m =>
        {
            Assert.NotEqual("", Name(m) ?? "");
            Assert.True(m["alias"] is not null || Name(m) == "Node Control/Rebirth", Name(m)); // that one must have none: rebirth-name-aliases
        }));
        Rule("payloads-alias-data-cmd-requirement", b =>
        {
            Assert.All(Of(b, "DDATA").SelectMany(m => m.Metrics), m => Assert.True(m["alias"] is not null && m["name"] is null, m.ToJsonString()));
            Assert.All(DataWithBirth(b), d => Assert.Empty(d.Data.Metrics.Select(Alias).Except(d.Birth.Metrics.Select(Alias))));
        });
        Rule("payloads-name-birth-data-requirement", b => Assert.All(Of(b, "NBIRTH", "DBIRTH", "DDATA").SelectMany(m => m.Metrics), m => Assert.NotNull(m["timestamp"])));
        Rule("payloads-metric-timestamp-in-UTC", b => Assert.All(Of(b, "NBIRTH", "DBIRTH", "DDATA").SelectMany(m => m.Metrics), m =>
            Assert.InRange(Time(m), (IsPast(m) ? Scenarios.Past : Scenarios.Start).ToUnixTimeMilliseconds(), Scenarios.Start.AddMinutes(2).ToUnixTimeMilliseconds())));
        Rule("payloads-metric-datatype-value-type", b => Assert.All(Of(b, "NBIRTH", "DBIRTH").SelectMany(m => m.Metrics), m => Assert.InRange(m["datatype"]!.GetValue<long>(), 0, uint.MaxValue)));
        Rule("payloads-metric-datatype-value", b => Assert.All(Of(b, "NBIRTH", "DBIRTH").SelectMany(m => m.Metrics), m =>
        {
            Assert.Contains((int)m["datatype"]!, Datatypes);
            string field = (int)m["datatype"]! switch { 4 => "long_value", 10 => "double_value", 11 => "boolean_value", 12 => "string_value", _ => "" };
            Assert.True(IsNull(m) || m[field] is not null, m.ToJsonString()); // the value is of the type that is said
        }));
        Rule("payloads-metric-datatype-req", b => Assert.All(Of(b, "NBIRTH", "DBIRTH").SelectMany(m => m.Metrics), m => Assert.NotNull(m["datatype"])));
        Rule("payloads-metric-datatype-not-req", b => Assert.All(Of(b, "DDATA").SelectMany(m => m.Metrics), m => Assert.Null(m["datatype"])));

        // The node has no templates: every metric of every message is looked at for one that would owe the host its definition, or stand where none may.
        Rule(["topics-nbirth-templates", "payloads-template-definition-nbirth"], b => Assert.All(Sequences(b), s =>
            Assert.Empty(Instances(s.In.Ours.Where(m => m.Session == s.Node.Session)).Except(Definitions([s.Node]).Select(Name)))));
        Rule("payloads-template-definition-nbirth-only", b => Assert.Empty(Definitions(Of(b, "DBIRTH", "DDATA", "NDEATH", "DDEATH"))));

        Rule(["payloads-propertyset-keys-array-size", "payloads-propertyset-values-array-size"], b => Assert.All(PropertySets(b, "DBIRTH", "DDATA"), set => Assert.Equal(((JsonArray)set["keys"]!).Count, ((JsonArray)set["values"]!).Count)));
        Rule("payloads-metric-propertyvalue-type-type", b => Assert.All(Properties(b, "DBIRTH", "DDATA"), p => Assert.InRange(p.Value["type"]!.GetValue<long>(), 0, uint.MaxValue)));
        Rule("payloads-metric-propertyvalue-type-value", b => Assert.All(Properties(b, "DBIRTH", "DDATA"), p =>
        {
            Assert.InRange((int)p.Value["type"]!, 1, 14); // the basic ones
            Assert.NotNull(p.Value[(int)p.Value["type"]! == 12 ? "string_value" : "int_value"]);
        }));
        Rule("payloads-metric-propertyvalue-type-req", b => Assert.All(Properties(b, "DBIRTH"), p => Assert.NotNull(p.Value["type"])));
        Rule("payloads-propertyset-quality-value-type", b => Assert.All(Properties(b, "DBIRTH", "DDATA").Where(p => p.Key == "Quality"), p => Assert.Equal(3, (int?)p.Value["type"])));
        Rule("payloads-propertyset-quality-value-value", b =>
        {
            int[] codes = [.. Properties(b, "DBIRTH", "DDATA").Where(p => p.Key == "Quality").Select(p => (int?)p.Value["int_value"] ?? -1).Distinct().Order()];
            Assert.Equal([0, 192, 500], codes);
        });
    }

    private static IEnumerable<JsonObject> Definitions(IEnumerable<Message> messages) =>
        Templates(messages).Where(m => (bool?)m["template_value"]!["is_definition"] ?? false);

    /// <summary>Names of the definitions that instances lean on.</summary>
    private static IEnumerable<string?> Instances(IEnumerable<Message> messages) =>
        Templates(messages).Where(m => !((bool?)m["template_value"]!["is_definition"] ?? false)).Select(m => (string?)m["template_value"]!["template_ref"]);

    private static IEnumerable<JsonObject> Templates(IEnumerable<Message> messages) => messages.SelectMany(m => m.Metrics).Where(m => m["template_value"] is not null);

    private static List<JsonObject> PropertySets(Bundle b, params string[] types)
    {
        List<JsonObject> sets = [.. Of(b, types).SelectMany(m => m.Metrics).Select(m => m["properties"]).OfType<JsonObject>()];
        Assert.NotEmpty(sets);
        return sets;
    }

    private static IEnumerable<(string Key, JsonObject Value)> Properties(Bundle b, params string[] types) =>
        PropertySets(b, types).SelectMany(set => ((JsonArray)set["keys"]!).Zip((JsonArray)set["values"]!, (k, v) => (k!.GetValue<string>(), (JsonObject)v!)));
}
