using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

internal static partial class Rules
{
    private static void Sessions()
    {
        Rule("principles-birth-certificates-order", b => Assert.All(Born(b), s => Assert.Equal(Scenarios.Topic("NBIRTH"), s.Packets.First(p => p.Kind == "PUBLISH").Topic)));
        Rule("principles-persistence-clean-session-311", b => Assert.All(Connected(b), s => Assert.True(s.Connect.CleanStart)));
        Rule("principles-persistence-clean-session-50", b => Assert.All(Connected(b), s => Assert.True(s.Connect is { CleanStart: true, SessionExpiry: 0 or -1 }))); // absent is 0 (MQTT 5, 3.1.2.11.2)
        Rule("message-flow-edge-node-ncmd-subscribe", b => Assert.All(Born(b), s =>
            Assert.Contains((Scenarios.Topic("NCMD"), 1), s.Packets.TakeWhile(p => p.Kind != "PUBLISH").SelectMany(p => p.Filters))));
        Rule("message-flow-edge-node-birth-publish-connect", b => Assert.All(Connected(b), s => Assert.Equal("CONNECT", s.Packets[0].Kind)));
        Rule("message-flow-edge-node-birth-publish-will-message", b => Assert.All(Connected(b), s => Assert.NotNull(s.Connect.WillTopic)));
        Rule("message-flow-edge-node-birth-publish-will-message-topic", b => Assert.All(Connected(b), s => Assert.Equal(Scenarios.Topic("NDEATH"), s.Connect.WillTopic)));
        Rule("message-flow-edge-node-birth-publish-will-message-payload", b => Assert.All(Connected(b), s => Assert.NotEmpty((JsonArray)s.Will!["metrics"]!)));
        Rule("message-flow-edge-node-birth-publish-will-message-payload-bdSeq", b =>
        {
            foreach (Recording r in b.All)
            {
                Assert.All(r.Sessions, s => Assert.Equal(4, (int?)((JsonArray)s.Will!["metrics"]!).Single(m => (string?)m!["name"] == "bdSeq")!["datatype"]));
                Assert.All(r.Sessions.Zip(r.Sessions.Skip(1)), pair => Assert.Equal((pair.First.WillBdSeq + 1) % 256, pair.Second.WillBdSeq));
            }

            Assert.Equal([254L, 255L, 0L], b.Wrap.Sessions.Select(s => s.WillBdSeq));
        });
        Rule("message-flow-edge-node-birth-publish-will-message-qos", b => Assert.All(Connected(b), s => Assert.Equal(1, s.Connect.WillQuality)));
        Rule("message-flow-edge-node-birth-publish-will-message-will-retained", b => Assert.All(Connected(b), s => Assert.False(s.Connect.WillRetain)));
    }

    private static List<Session> Connected(Bundle b)
    {
        List<Session> all = [.. b.All.SelectMany(r => r.Sessions)];
        Assert.InRange(all.Count, 10, 99);
        return all;
    }

    private static List<Session> Born(Bundle b)
    {
        List<Session> born = [.. Connected(b).Where(s => s.Packets.Exists(p => p.Kind == "PUBLISH"))];
        Assert.InRange(born.Count, 10, 99);
        return born;
    }
}
