using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

internal static partial class Rules
{
    private static void Births()
    {
        Rule("topics-nbirth-mqtt", b => Sent(b, "NBIRTH", 0, false));
        Rule(["payloads-nbirth-qos", "message-flow-edge-node-birth-publish-nbirth-qos"], b => Sent(b, "NBIRTH", 0, null));
        Rule(["payloads-nbirth-retain", "message-flow-edge-node-birth-publish-nbirth-retained"], b => Sent(b, "NBIRTH", null, false));
        Rule("topics-dbirth-mqtt", b => Sent(b, "DBIRTH", 0, false));
        Rule(["payloads-dbirth-qos", "message-flow-device-birth-publish-dbirth-qos"], b => Sent(b, "DBIRTH", 0, null));
        Rule(["payloads-dbirth-retain", "message-flow-device-birth-publish-dbirth-retained"], b => Sent(b, "DBIRTH", null, false));

        Rule("topics-nbirth-seq-num", b => Assert.All(Of(b, "NBIRTH"), m => Assert.Equal(0, m.Seq)));
        Rule(["payloads-nbirth-seq", "payloads-sequence-num-req-nbirth", "message-flow-edge-node-birth-publish-nbirth-payload-seq"], b => Assert.All(Of(b, "NBIRTH"), m => Assert.InRange(m.Seq ?? -1, 0, 255)));
        Rule(["topics-dbirth-seq", "payloads-dbirth-seq-inc", "message-flow-device-birth-publish-dbirth-payload-seq"], b => Counts(b, "DBIRTH"));
        Rule("payloads-dbirth-seq", b => Assert.All(Of(b, "DBIRTH"), m => Assert.InRange(m.Seq ?? -1, 0, 255)));
        Rule(["topics-nbirth-timestamp", "payloads-nbirth-timestamp"], b => Timed(b, "NBIRTH"));
        Rule(["topics-dbirth-timestamp", "payloads-dbirth-timestamp"], b => Timed(b, "DBIRTH"));
        Rule("message-flow-edge-node-birth-publish-nbirth-payload", b => Assert.All(Of(b, "NBIRTH"), m => Assert.NotEmpty(m.Metrics)));
        Rule("message-flow-device-birth-publish-dbirth-payload", b => Assert.All(Of(b, "DBIRTH"), m => Assert.NotEmpty(m.Metrics)));

        // Every metric that is ever told of the node (its death tells bdSeq; there is no NDATA) is in its births.
        Rule(["topics-nbirth-metric-reqs", "operational-behavior-data-publish-nbirth"], b =>
        {
            foreach (Recording r in b.All)
            {
                string?[] born = [.. r.Of("NBIRTH").SelectMany(m => m.Metrics).Select(Name).Distinct()];
                Assert.All(r.Of("NDEATH", "NDATA").SelectMany(m => m.Metrics), m => Assert.Contains(Name(m), born));
                Assert.All(r.Of("NBIRTH"), m => Assert.Equal(born, m.Metrics.Select(Name)));
            }

            Of(b, "NDEATH");
        });

        // What data tell by alias, the device's birth before them in the session has told by name.
        Rule(["topics-dbirth-metric-reqs", "operational-behavior-data-publish-dbirth"], b => Assert.All(DataWithBirth(b), d => Assert.Empty(d.Data.Metrics.Select(Alias).Except(d.Birth.Metrics.Select(Alias)))));
        Rule("topics-nbirth-metrics", b => Assert.All(Of(b, "NBIRTH"), Whole));
        Rule("topics-dbirth-metrics", b => Assert.All(Of(b, "DBIRTH"), Whole));
        Rule("operational-behavior-data-publish-nbirth-values", b => Assert.All(Of(b, "NBIRTH").SelectMany(m => m.Metrics), m => Assert.Equal(IsNull(m) ? 0 : 1, Values(m))));
        Rule("operational-behavior-data-publish-dbirth-values", b =>
        {
            Assert.All(Of(b, "DBIRTH").SelectMany(m => m.Metrics), m => Assert.Equal(IsNull(m) ? 0 : 1, Values(m)));
            Assert.NotEqual(0, CurrentValues(b.Ordinary));
        });
        Rule("operational-behavior-data-publish-nbirth-order", b => Assert.All(Of(b, "NBIRTH"), Chronological));
        Rule("operational-behavior-data-publish-dbirth-order", b => Assert.All(Of(b, "DBIRTH", "DDATA"), Chronological));

        Rule(["topics-nbirth-bdseq-included", "payloads-nbirth-bdseq"], b => Assert.All(Of(b, "NBIRTH"), m => Assert.InRange(BdSeq(m), 0, 255)));
        Rule(["topics-nbirth-bdseq-matching", "payloads-nbirth-bdseq-repeat"], Matching);
        Rule("message-flow-edge-node-birth-publish-nbirth-payload-bdSeq", b =>
        {
            Matching(b);
            Assert.All(Of(b, "NBIRTH"), m => Assert.Equal(4, (int?)m.Metric("bdSeq")["datatype"]));
        });
        Rule("topics-nbirth-bdseq-increment", b =>
        {
            foreach (Recording r in b.All.Except([b.Wrap]))
            {
                Assert.Equal(Enumerable.Range(0, r.Sessions.Count).Select(n => (long)n), r.Sessions.Select(s => s.WillBdSeq));
            }

            Assert.InRange(b.Ordinary.Sessions.Count, 3, 99);
        });

        Rule(["topics-nbirth-rebirth-metric", "payloads-nbirth-rebirth-req"], b => Assert.All(Of(b, "NBIRTH"), m => Assert.Equal((11, false), ((int?)m.Metric("Node Control/Rebirth")["datatype"], (bool?)m.Metric("Node Control/Rebirth")["boolean_value"]))));
        Rule("operational-behavior-data-commands-rebirth-name", b => Assert.All(Of(b, "NBIRTH"), m => m.Metric("Node Control/Rebirth")));
        Rule("operational-behavior-data-commands-rebirth-name-aliases", b => Assert.All(Of(b, "NBIRTH"), m => Assert.Null(m.Metric("Node Control/Rebirth")["alias"])));
        Rule("operational-behavior-data-commands-rebirth-datatype", b => Assert.All(Of(b, "NBIRTH"), m => Assert.Equal(11, (int?)m.Metric("Node Control/Rebirth")["datatype"])));
        Rule("operational-behavior-data-commands-rebirth-value", b => Assert.All(Of(b, "NBIRTH"), m => Assert.False((bool?)m.Metric("Node Control/Rebirth")["boolean_value"] ?? true)));
        Rule("operational-behavior-data-commands-rebirth-action-1", b =>
        {
            int at = Request(b.Ordinary);
            Assert.DoesNotContain(b.Ordinary.Messages.Skip(at + 1).TakeWhile(m => m.Type != "NBIRTH"), m => m.IsData);
            Assert.Contains(b.Ordinary.Messages.Skip(at + 1), m => m.IsData); // and afterwards it goes on
        });
        Rule("operational-behavior-data-commands-rebirth-action-2", b =>
        {
            Message[] after = [.. b.Ordinary.Messages.Skip(Request(b.Ordinary) + 1).Where(m => m.IsOurs).Take(1 + Scenarios.Devices.Length)];
            Assert.Equal(Scenarios.Devices.Select(d => "DBIRTH " + d).Prepend("NBIRTH "), after.Select(m => m.Type + " " + m.Device));
        });
        Rule("operational-behavior-data-commands-rebirth-action-3", b =>
        {
            Message birth = b.Ordinary.Messages.Skip(Request(b.Ordinary) + 1).First(m => m.Type == "NBIRTH");
            Assert.Equal(b.Ordinary.Sessions[birth.Session].WillBdSeq, BdSeq(birth));
            Assert.Equal(b.Ordinary.Messages.First(m => m.Type == "NBIRTH").Session, birth.Session);
        });

        Rule("payloads-dbirth-order", b => InOrder(b, "DBIRTH"));
        Rule("message-flow-device-birth-publish-nbirth-wait", b => Assert.All(b.All, r => Assert.All(r.Of("DBIRTH"), d =>
            Assert.Contains(r.Messages.TakeWhile(m => m != d), m => m.Type == "NBIRTH" && m.Session == d.Session))));
    }

    private static void Matching(Bundle b) => Assert.All(b.All, r => Assert.All(r.Of("NBIRTH"), m => Assert.Equal(r.Sessions[m.Session].WillBdSeq, BdSeq(m))));

    private static void Whole(Message birth) => Assert.All(birth.Metrics, m =>
    {
        Assert.NotEqual("", Name(m) ?? "");
        Assert.NotEqual(0, (int?)m["datatype"] ?? 0);
        Assert.True(IsNull(m) || Values(m) == 1, Name(m));
    });

    private static void Chronological(Message message)
    {
        long[] times = [.. message.Metrics.Where(m => !IsPast(m)).Select(Time)];
        Assert.Equal(times.Order(), times);
    }

    private static List<(Message Data, Message Birth)> DataWithBirth(Bundle b)
    {
        List<(Message, Message)> found = [];
        foreach (Recording r in b.All)
        {
            foreach (Message data in r.Of("DDATA"))
            {
                found.Add((data, r.Messages.TakeWhile(m => m != data).Last(m => m.Type == "DBIRTH" && m.Device == data.Device && m.Session == data.Session)));
            }
        }

        Assert.NotEmpty(found);
        return found;
    }

    /// <summary>The births that a host asks for tell of each metric what was last said of it; how many such values it has compared.</summary>
    private static int CurrentValues(Recording r)
    {
        int compared = 0, at = Request(r);
        foreach (Message birth in r.Messages.Skip(at).Where(m => m.Type == "DBIRTH").Take(Scenarios.Devices.Length))
        {
            foreach (JsonObject metric in birth.Metrics)
            {
                JsonObject? last = r.Messages.Take(at).Where(m => m.Type == "DDATA" && m.Device == birth.Device).SelectMany(m => m.Metrics).LastOrDefault(m => !IsPast(m) && Alias(m) == Alias(metric));
                if (last is not null)
                {
                    JsonObject said = (JsonObject)metric.DeepClone();
                    said.Remove("name");
                    said.Remove("datatype");
                    Assert.True(JsonNode.DeepEquals(last, said), $"{birth.Topic}: {metric.ToJsonString()} after {last.ToJsonString()}");
                    compared++;
                }
            }
        }

        return compared;
    }
}
