using System.Text.RegularExpressions;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

internal static partial class Rules
{
    private static readonly char[] Reserved = ['+', '#', '/', '\0'];

    private static void Topics()
    {
        Rule("topic-structure", b => Assert.All(b.All.SelectMany(r => r.Ours), m => Assert.Matches(TopicForm(), m.Topic)));
        Rule("topic-structure-namespace-a", b => Assert.All(b.All.SelectMany(r => r.Ours), m => Assert.Equal("spBv1.0", m.Levels[0])));

        // Topics have been read as strict UTF-8 from the packets. The names that the node was given come out as they are.
        Rule(["intro-group-id-string", "topic-structure-namespace-valid-group-id"], b => Assert.All(b.All.SelectMany(r => r.Ours), m => Assert.Equal(Scenarios.Group, m.Levels[1])));
        Rule(["intro-edge-node-id-string", "topic-structure-namespace-valid-edge-node-id"], b => Assert.All(b.All.SelectMany(r => r.Ours), m => Assert.Equal(Scenarios.Node, m.Levels[3])));
        Rule(["intro-device-id-string", "topic-structure-namespace-valid-device-id"], b => Assert.All(Of(b, "DBIRTH", "DDATA", "DDEATH"), m => Assert.Contains(m.Device, Scenarios.Devices)));
        Rule("intro-group-id-chars", b => Assert.All(b.All.SelectMany(r => r.Ours), m => Free(m.Levels[1], m)));
        Rule("intro-edge-node-id-chars", b => Assert.All(b.All.SelectMany(r => r.Ours), m => Free(m.Levels[3], m)));
        Rule("intro-device-id-chars", b => Assert.All(Of(b, "DBIRTH", "DDATA", "DDEATH"), m => Free(m.Device, m)));
        Rule("topic-structure-namespace-unique-device-id", b => Assert.All(Sequences(b), s => Assert.Equal(s.Devices.Length, s.Devices.Select(d => d.Device).Distinct().Count())));
        Rule("topic-structure-namespace-duplicate-device-id-across-edge-node", b =>
        {
            // Two nodes have the same devices at once, and neither disturbs the other's births, data and numbers.
            foreach (string name in (string[])[Scenarios.Node, Scenarios.Twin])
            {
                Message[] own = [.. b.Twins.Ours.Where(m => m.Levels[3] == name && m.Type != "NDEATH")];
                Assert.Equal(Enumerable.Range(0, own.Length).Select(n => (long?)n), own.Select(m => m.Seq));
                Assert.Equal(["NBIRTH", .. Scenarios.Devices.Select(_ => "DBIRTH"), "DDATA", "DDATA"], own.Select(m => m.Type));
                Assert.Equal(Scenarios.Devices, own.Where(m => m.Type == "DBIRTH").Select(m => m.Device));
            }

            Assert.Equal([Scenarios.Node, Scenarios.Twin, Scenarios.Node, Scenarios.Twin], b.Twins.Of("DDATA").Select(m => m.Levels[3]));
        });
        Rule("case-sensitivity-sparkplug-ids", b => Assert.All(Sequences(b), s => Assert.Equal(s.Devices.Length, s.Devices.Select(d => d.Device.ToLowerInvariant()).Distinct().Count())));
        Rule("case-sensitivity-metric-names", b => Assert.All(Of(b, "NBIRTH", "DBIRTH"), m => Assert.Equal(m.Metrics.Count(), m.Metrics.Select(x => Name(x)!.ToLowerInvariant()).Distinct().Count())));
        Rule("topic-structure-namespace-device-id-associated-message-types", b => Assert.All(Of(b, "DBIRTH", "DDATA", "DDEATH"), m => Assert.Equal(5, m.Levels.Length)));
        Rule("topic-structure-namespace-device-id-non-associated-message-types", b => Assert.All(Of(b, "NBIRTH", "NDEATH"), m => Assert.Equal(4, m.Levels.Length)));
        Rule(["topics-nbirth-topic", "message-flow-edge-node-birth-publish-nbirth-topic"], b => Assert.All(Of(b, "NBIRTH"), m => Assert.Equal(Scenarios.Topic("NBIRTH"), m.Topic)));
        Rule("topics-ndeath-topic", b => Assert.All(Of(b, "NDEATH"), m => Assert.Equal(Scenarios.Topic("NDEATH"), m.Topic)));
        Rule(["topics-dbirth-topic", "message-flow-device-birth-publish-dbirth-topic"], b => OfDevices(b, "DBIRTH"));
        Rule("topics-ddata-topic", b => OfDevices(b, "DDATA"));
        Rule("topics-ddeath-topic", b => OfDevices(b, "DDEATH"));
        Rule("message-flow-device-birth-publish-dbirth-match-edge-node-topic", b => Assert.All(Sequences(b), s => Assert.All(s.Devices, d => Assert.Equal((s.Node.Levels[1], s.Node.Levels[3]), (d.Levels[1], d.Levels[3])))));

        // The node is commanded at this topic and obeys.
        Rule("topics-ncmd-topic", b =>
        {
            int at = Request(b.Ordinary);
            Assert.Equal(Scenarios.Topic("NCMD"), b.Ordinary.Messages[at].Topic);
            Assert.Equal("NBIRTH", b.Ordinary.Messages.Skip(at + 1).First(m => m.IsOurs).Type);
            Assert.Equal(2, b.Ordinary.Of("NBIRTH").Count(m => m.Session == 0)); // other commands, and bytes that are none, were sent too
            Assert.All(b.Ordinary.Sessions, s => Assert.Contains(s.Packets, p => p.Filters.Exists(f => f.Filter == Scenarios.Topic("NCMD"))));
        });
    }

    private static void OfDevices(Bundle b, string type) =>
        Assert.All(Of(b, type), m => Assert.Contains(m.Topic, Scenarios.Devices.Select(d => Scenarios.Topic(type) + "/" + d)));

    private static void Free(string level, Message message)
    {
        Assert.NotEqual("", level);
        Assert.True(level.IndexOfAny(Reserved) < 0 && message.Levels.Length <= 5, message.Topic);
    }

    /// <summary>Place of the request for births, the one that means it.</summary>
    private static int Request(Recording r)
    {
        int at = r.Messages.FindIndex(m => m.Type == "NCMD" && m.Metrics.Any(x => Name(x) == "Node Control/Rebirth" && ((bool?)x["boolean_value"] ?? false)));
        Assert.True(at >= 0, "Nobody asked for births.");
        return at;
    }

    [GeneratedRegex("^[^/]+/[^/+#]+/(NBIRTH|NDEATH|NDATA|NCMD|DBIRTH|DDEATH|DDATA|DCMD)/[^/+#]+(/[^/+#]+)?$")]
    private static partial Regex TopicForm();
}
