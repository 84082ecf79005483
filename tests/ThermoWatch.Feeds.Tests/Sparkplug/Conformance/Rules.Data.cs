using System.Globalization;
using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

internal static partial class Rules
{
    private static void Data()
    {
        Rule("topics-ddata-mqtt", b => Sent(b, "DDATA", 0, false));
        Rule("payloads-ddata-qos", b => Sent(b, "DDATA", 0, null));
        Rule("payloads-ddata-retain", b => Sent(b, "DDATA", null, false));
        Rule(["topics-ddata-seq-num", "payloads-ddata-seq-inc"], b => Counts(b, "DDATA"));
        Rule("payloads-ddata-seq", b => Assert.All(Of(b, "DDATA"), m => Assert.InRange(m.Seq ?? -1, 0, 255)));
        Rule(["topics-ddata-timestamp", "payloads-ddata-timestamp"], b => Timed(b, "DDATA"));
        Rule("payloads-ddata-order", b => InOrder(b, "DDATA"));
        Rule("topics-ddata-payload", AllArrived);
        Rule("operational-behavior-data-publish-nbirth-change", b =>
        {
            // The node's own metrics do not change while a session lasts, so nothing is told of them after their birth.
            foreach (Recording r in b.All)
            {
                Assert.All(r.Of("NBIRTH").GroupBy(m => m.Session), births => Assert.Single(births.Select(m => string.Join('\n', m.Metrics.Select(Without))).Distinct()));
                Assert.DoesNotContain(r.Ours, m => m.Type == "NDATA");
            }

            Assert.Contains(b.Ordinary.Of("NBIRTH").GroupBy(m => m.Session), births => births.Count() > 1);

            static string Without(JsonObject metric) => new JsonObject(metric.Where(p => p.Key is not "timestamp").Select(p => KeyValuePair.Create(p.Key, p.Value?.DeepClone()))).ToJsonString();
        });
    }

    /// <summary>What was handed to the node has arrived: each reading with its device, metric, time and value, and no reading that was not handed over.</summary>
    private static void AllArrived(Bundle b)
    {
        HashSet<(string, string, long, string)> wanted = [.. b.Handed.Where(h => h.Metric.Length > 0).Select(h => (h.Device, h.Metric, h.Ms, Text(h.Value)))];
        HashSet<(string, string, long, string)> arrived = [];
        foreach (Message data in b.Ordinary.Of("DDATA"))
        {
            Message birth = b.Ordinary.Messages.TakeWhile(m => m != data).Last(m => m.Type == "DBIRTH" && m.Device == data.Device);
            foreach (JsonObject metric in data.Metrics)
            {
                string name = Name(birth.Metrics.Single(m => Alias(m) == Alias(metric)))!;
                if (name.StartsWith("Readings/", StringComparison.Ordinal))
                {
                    arrived.Add((data.Device, name, Time(metric), Text((double?)metric["double_value"])));
                }
            }
        }

        Assert.Empty(wanted.Except(arrived));
        Assert.Empty(arrived.Except(wanted));
        Assert.InRange(wanted.Count, 700, int.MaxValue);
    }

    private static string Text(double? value) => value?.ToString("R", CultureInfo.InvariantCulture) ?? "null";
}
