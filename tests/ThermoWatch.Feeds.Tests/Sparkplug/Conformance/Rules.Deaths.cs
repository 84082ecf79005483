using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

internal static partial class Rules
{
    /// <summary>The instrument that goes silent in the ordinary recording.</summary>
    private static readonly string Silent = Scenarios.Devices[2];

    private static void Deaths()
    {
        Rule("topics-ndeath-payload", b => Assert.All(Of(b, "NDEATH"), m => Assert.Equal("bdSeq", Name(Assert.Single(m.Metrics)))));
        Rule(["topics-ndeath-seq", "payloads-ndeath-seq"], b => Assert.All(Of(b, "NDEATH"), m => Assert.Null(m.Seq)));
        Rule("payloads-ndeath-bdseq", b => Assert.All(b.All, r => Assert.All(r.Of("NDEATH"), m => Assert.Equal(BdSeq(r.Messages.TakeWhile(x => x != m).Last(x => x.Type == "NBIRTH" && x.Session == m.Session)), BdSeq(m)))));
        Rule("payloads-ndeath-will-message", b =>
        {
            Assert.All(b.All.SelectMany(r => r.Sessions), s => Assert.Equal(Scenarios.Topic("NDEATH"), s.Connect.WillTopic));
            Assert.Contains(b.Ordinary.Of("NDEATH"), m => m.IsWill); // and the broker has published it when the wire was cut
        });
        Rule("payloads-ndeath-will-message-qos", b => Assert.All(b.All.SelectMany(r => r.Sessions), s => Assert.Equal(1, s.Connect.WillQuality)));
        Rule("payloads-ndeath-will-message-retain", b =>
        {
            Assert.All(b.All.SelectMany(r => r.Sessions), s => Assert.False(s.Connect.WillRetain));
            Assert.All(b.All, r => Assert.DoesNotContain(Scenarios.Topic("NDEATH"), r.Kept));
        });
        Rule(["payloads-ndeath-will-message-publisher", "operational-behavior-edge-node-intentional-disconnect-ndeath"], DeathBeforeDisconnect);
        Rule("payloads-ndeath-will-message-publisher-disconnect-mqtt311", DeathBeforeDisconnect);
        Rule("payloads-ndeath-will-message-publisher-disconnect-mqtt50", b => Assert.All(Ended(b), s => Assert.Equal(4, s.Disconnect!.Reason)));
        Rule("operational-behavior-edge-node-intentional-disconnect-packet", b => Assert.All(Ended(b), s => Assert.Equal(["PUBLISH", "DISCONNECT"], s.Packets.TakeLast(2).Select(p => p.Kind))));

        Rule("topics-ddeath-mqtt", b => Sent(b, "DDEATH", 0, false));
        Rule(["topics-ddeath-seq-num", "payloads-ddeath-seq-inc"], b => Counts(b, "DDEATH"));
        Rule(["payloads-ddeath-seq", "payloads-ddeath-seq-number"], b => Assert.All(Of(b, "DDEATH"), m => Assert.InRange(m.Seq ?? -1, 0, 255)));
        Rule("payloads-ddeath-timestamp", b => Timed(b, "DDEATH"));
        Rule("operational-behavior-device-ddeath", b =>
        {
            // Its last answer, a poll without one, its death; then its past between a birth and a death; then its next answer.
            Message[] of = [.. b.Ordinary.Ours.Where(m => m.Device == Silent && m.Session == 0)];
            Assert.Equal(["DBIRTH", "DDATA", "DBIRTH", "DDATA", "DDEATH", "DBIRTH", "DDATA", "DDEATH", "DBIRTH", "DDATA"], of.Select(m => m.Type));
            Assert.True(IsNull(Assert.Single(of[3].Metrics)));
            Assert.All(of[6].Metrics, m => Assert.True(IsPast(m)));
            Assert.Equal(500, (int?)((JsonArray)of[5].Metrics.Single()["properties"]!["values"]!)[0]!["int_value"]);
            Assert.Equal(13.0, (double?)of[8].Metrics.Single()["double_value"]);
            Assert.False(IsPast(of[9].Metrics.Single()));
        });
    }

    /// <summary>Sessions that were born and that the node has ended on purpose.</summary>
    private static List<Session> Ended(Bundle b)
    {
        List<Session> ended = [.. b.All.SelectMany(r => r.Sessions).Where(s => s.Disconnect is not null && s.Packets.Exists(p => p.Topic.Contains("/NBIRTH/", StringComparison.Ordinal)))];
        Assert.InRange(ended.Count, 7, 99);
        return ended;
    }

    private static void DeathBeforeDisconnect(Bundle b) => Assert.All(Ended(b), s => Assert.Equal(Scenarios.Topic("NDEATH"), s.Packets.TakeWhile(p => p.Kind != "DISCONNECT").Last().Topic));
}
