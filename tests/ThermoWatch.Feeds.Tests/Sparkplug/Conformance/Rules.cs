using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>The assertions of Sparkplug 3.0 that bind an edge node of our kind, each under its id, each held against recordings.</summary>
internal static partial class Rules
{
    private static readonly Dictionary<string, Action<Bundle>> All = [];

    static Rules()
    {
        Topics();
        Births();
        Data();
        Deaths();
        Sessions();
        Hosts();
        Payloads();
    }

    public static IReadOnlyDictionary<string, Action<Bundle>> ById => All;

    /// <summary>Whether a rule binds this version of MQTT only.</summary>
    public static bool Binds(string id, bool version5) => !id.EndsWith(version5 ? "311" : "50", StringComparison.Ordinal);

    private static void Rule(string id, Action<Bundle> check) => All.Add("tck-id-" + id, check);

    private static void Rule(string[] ids, Action<Bundle> check) => Array.ForEach(ids, id => Rule(id, check));

    /// <summary>Of all recordings the messages of a type; there must be some.</summary>
    private static List<Message> Of(Bundle b, params string[] types)
    {
        List<Message> found = [.. b.All.SelectMany(r => r.Of(types))];
        Assert.NotEmpty(found);
        return found;
    }

    private static IEnumerable<(Recording In, Message Node, Message[] Devices)> Sequences(Bundle b) =>
        b.All.SelectMany(r => r.BirthSequences().Select(s => (r, s.Node, s.Devices)));

    private static string? Name(JsonObject metric) => (string?)metric["name"];

    private static long Alias(JsonObject metric) => long.Parse(metric["alias"]!.GetValue<string>());

    private static long Time(JsonObject metric) => long.Parse(metric["timestamp"]!.GetValue<string>());

    private static bool IsNull(JsonObject metric) => (bool?)metric["is_null"] ?? false;

    private static bool IsPast(JsonObject metric) => (bool?)metric["is_historical"] ?? false;

    private static int Values(JsonObject metric) => metric.Count(p => p.Key.EndsWith("_value", StringComparison.Ordinal));

    private static long BdSeq(Message message) => long.Parse(message.Metric("bdSeq")["long_value"]!.GetValue<string>());

    /// <summary>Quality and retain flag of all messages of a type; and that the broker has kept none.</summary>
    private static void Sent(Bundle b, string type, int? quality, bool? retain)
    {
        foreach (Message message in Of(b, type))
        {
            Assert.Equal(quality ?? message.Quality, message.Quality);
            Assert.Equal(retain ?? message.Retain, message.Retain);
        }

        if (retain == false)
        {
            Assert.All(b.All, r => Assert.DoesNotContain(r.Kept, topic => topic.Contains($"/{type}/", StringComparison.Ordinal)));
        }
    }

    /// <summary>Every message of these types has the number after that of the message before it in its session; an NBIRTH begins anew.</summary>
    private static void Counts(Bundle b, params string[] types)
    {
        int counted = 0;
        foreach (Recording r in b.All)
        {
            Message? before = null;
            foreach (Message message in r.Ours.Where(m => m.Type != "NDEATH"))
            {
                if (types.Contains(message.Type) && message.Type != "NBIRTH")
                {
                    Assert.Equal(before!.Session, message.Session);
                    Assert.Equal((before.Seq + 1) % 256, message.Seq);
                    counted++;
                }

                before = message;
            }
        }

        Assert.NotEqual(0, counted);
    }

    /// <summary>The message was sent while the recording went on, by the clock of the node, in UTC.</summary>
    private static void Timed(Bundle b, params string[] types)
    {
        foreach (Message message in Of(b, types))
        {
            Assert.InRange(message.Timestamp ?? 0, Scenarios.Start.ToUnixTimeMilliseconds(), Scenarios.Start.AddMinutes(2).ToUnixTimeMilliseconds());
        }
    }

    /// <summary>Births come before data in every session: the node's, then its devices', then anything else.</summary>
    private static void InOrder(Bundle b, string type)
    {
        int seen = 0;
        foreach (Recording r in b.All)
        {
            foreach (IGrouping<int, Message> session in r.Ours.Where(m => m.Type != "NDEATH").GroupBy(m => m.Session))
            {
                string[] types = [.. session.Select(m => m.Type)];
                Assert.Equal("NBIRTH", types[0]);
                int births = types.Skip(1).TakeWhile(t => t == "DBIRTH").Count();
                Assert.InRange(births, 1, Scenarios.Devices.Length);
                Assert.DoesNotContain(type == "DBIRTH" ? "DDATA" : type, types.Take(1 + births));
                if (type == "DBIRTH")
                {
                    // Later births: of a whole sequence anew, or of a device that had died.
                    HashSet<string> living = [];
                    foreach (Message message in session)
                    {
                        living = message.Type == "NBIRTH" ? [] : living;
                        Assert.True(message.Type != "DBIRTH" || living.Add(message.Device), message.Topic);
                        Assert.True(message.Type is not ("DDATA" or "DDEATH") || living.Contains(message.Device), message.Topic);
                        if (message.Type == "DDEATH")
                        {
                            living.Remove(message.Device);
                        }
                    }
                }

                seen += types.Count(t => t == type);
            }
        }

        Assert.NotEqual(0, seen);
    }
}
