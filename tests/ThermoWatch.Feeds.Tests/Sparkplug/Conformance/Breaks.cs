using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>
/// Recordings bent at one place each, as a node with one mistake would have made them. A rule that none of them fails would be no test;
/// a break that fails no rule would be a mistake that nobody sees.
/// </summary>
internal static class Breaks
{
    public static readonly IReadOnlyDictionary<string, Action<Bundle>> All = new Dictionary<string, Action<Bundle>>
    {
        ["no slash between group and type"] = b => Last(b, "DDATA").Topic = "spBv1.0/" + Scenarios.Group + "DDATA/" + Scenarios.Node + "/cell-1-logger",
        ["namespace of the old version"] = b => Each(b, m => m.Topic = m.Topic.Replace("spBv1.0", "spAv1.0", StringComparison.Ordinal), "DBIRTH"),
        ["another group"] = b => Each(b, m => m.Topic = m.Topic.Replace(Scenarios.Group, "Werk S?d", StringComparison.Ordinal), "DBIRTH", "DDATA"),
        ["a plus in the group"] = b => Each(b, m => m.Topic = m.Topic.Replace(Scenarios.Group, "Werk+", StringComparison.Ordinal), "NBIRTH"),
        ["another node"] = b => Each(b, m => m.Topic = m.Topic.Replace(Scenarios.Node, "hall 3", StringComparison.Ordinal), "DBIRTH", "DDATA"),
        ["a hash in the node"] = b => Each(b, m => m.Topic = m.Topic.Replace(Scenarios.Node, "hall#", StringComparison.Ordinal), "NBIRTH"),
        ["a slash in a device"] = b => Each(b, m => m.Topic += "/1", "DDATA"),
        ["a plus in a device"] = b => Each(b, m => m.Topic = m.Topic.Replace("gauge___1", "gauge+__1", StringComparison.Ordinal), "DBIRTH", "DDATA", "DDEATH"),
        ["two devices of one name"] = b => Each(b, m => m.Topic = m.Topic.Replace("cell-2", "cell-1", StringComparison.Ordinal), "DBIRTH"),
        ["a node that another one throws out"] = b => b.Twins.Messages.Remove(b.Twins.Of("DDATA").ElementAt(2)),
        ["devices that differ by case"] = b => First(b, "DBIRTH").Topic = Scenarios.Topic("DBIRTH") + "/CELL-2",
        ["metrics that differ by case"] = b => Metric(b, "DBIRTH", "Readings/TC1_2")["name"] = "Readings/TC1",
        ["data without a device"] = b => Last(b, "DDATA").Topic = Scenarios.Topic("DDATA"),
        ["death of a device without a device"] = b => Last(b, "DDEATH").Topic = Scenarios.Topic("DDEATH"),
        ["birth with a device"] = b => First(b, "NBIRTH").Topic += "/cell-1",
        ["death with a device"] = b => First(b, "NDEATH").Topic += "/cell-1",
        ["a command at another topic"] = b => Request(b).Topic = Scenarios.Topic("NCMD") + "/all",
        ["NBIRTH by quality 1"] = b => First(b, "NBIRTH").Quality = 1,
        ["NBIRTH kept"] = b => First(b, "NBIRTH").Retain = true,
        ["DBIRTH by quality 1"] = b => First(b, "DBIRTH").Quality = 1,
        ["DBIRTH kept"] = b => b.Ordinary.Kept.Add(First(b, "DBIRTH").Topic),
        ["DDATA by quality 1"] = b => Last(b, "DDATA").Quality = 1,
        ["DDATA kept"] = b => Last(b, "DDATA").Retain = true,
        ["DDEATH by quality 1"] = b => Last(b, "DDEATH").Quality = 1,
        ["DDEATH kept"] = b => Last(b, "DDEATH").Retain = true,
        ["NBIRTH counts on"] = b => First(b, "NBIRTH").Payload!["seq"] = "1",
        ["NBIRTH beyond a byte"] = b => First(b, "NBIRTH").Payload!["seq"] = "256",
        ["NBIRTH without number"] = b => First(b, "NBIRTH").Payload!.Remove("seq"),
        ["DBIRTH without number"] = b => First(b, "DBIRTH").Payload!.Remove("seq"),
        ["DBIRTH repeats a number"] = b => First(b, "DBIRTH").Payload!["seq"] = "0",
        ["DDATA without number"] = b => Last(b, "DDATA").Payload!.Remove("seq"),
        ["DDATA leaves a number out"] = b => Last(b, "DDATA").Payload!["seq"] = "77",
        ["255 is followed by 256"] = b => b.Ordinary.Ours.SkipWhile(m => m.Seq != 255).Skip(1).First().Payload!["seq"] = "256",
        ["DDEATH without number"] = b => Last(b, "DDEATH").Payload!.Remove("seq"),
        ["DDEATH leaves a number out"] = b => Last(b, "DDEATH").Payload!["seq"] = "200",
        ["NDEATH with a number"] = b => First(b, "NDEATH").Payload!["seq"] = "3",
        ["NBIRTH without time"] = b => First(b, "NBIRTH").Payload!.Remove("timestamp"),
        ["DBIRTH in local time"] = b => First(b, "DBIRTH").Payload!["timestamp"] = Scenarios.Start.AddHours(1).ToUnixTimeMilliseconds().ToString(),
        ["DDATA in seconds"] = b => Last(b, "DDATA").Payload!["timestamp"] = Scenarios.Start.ToUnixTimeSeconds().ToString(),
        ["DDEATH without time"] = b => Last(b, "DDEATH").Payload!.Remove("timestamp"),
        ["NBIRTH that is no payload"] = b => First(b, "NBIRTH").Payload = null,
        ["DBIRTH that is no payload"] = b => First(b, "DBIRTH").Payload = null,
        ["a will that is no payload"] = b => b.Ordinary.Sessions[0].Will = null,
        ["death tells a metric that no birth has"] = b => First(b, "NDEATH").Metric("bdSeq")["name"] = "lastWords",
        ["death tells more than bdSeq"] = b => ((JsonArray)First(b, "NDEATH").Payload!["metrics"]!).Add(new JsonObject { ["name"] = "why", ["string_value"] = "power" }),
        ["a metric missing in a device's birth"] = b => ((JsonArray)b.Ordinary.Of("DBIRTH").First(m => m.Device == "cell-1-logger").Payload!["metrics"]!).RemoveAt(0),
        ["a metric of the birth without name"] = b => Metric(b, "DBIRTH", "Readings/tc1").Remove("name"),
        ["a metric of the node's birth without name"] = b => First(b, "NBIRTH").Metric("Node Control/Rebirth").Remove("name"),
        ["a metric of the birth without datatype"] = b => Metric(b, "DBIRTH", "Readings/tc1").Remove("datatype"),
        ["a datatype that there is none of"] = b => Metric(b, "DBIRTH", "Readings/tc1")["datatype"] = 35,
        ["a datatype below zero"] = b => Metric(b, "DBIRTH", "Readings/tc1")["datatype"] = -1,
        ["null and a value"] = b => Metric(b, "DBIRTH", "Readings/tc1")["double_value"] = 1.0,
        ["null and a value of the node"] = b => First(b, "NBIRTH").Metric("Node Control/Rebirth")["is_null"] = true,
        ["births ask with a value of before"] = b => Requested(b).Metric("Readings/tc1")["double_value"] = 99.0,
        ["values of a birth out of order"] = b => Requested(b).Metrics.First()["timestamp"] = Scenarios.Start.AddMinutes(1).ToUnixTimeMilliseconds().ToString(),
        ["values of the node out of order"] = b => First(b, "NBIRTH").Metrics.First()["timestamp"] = Scenarios.Start.AddMinutes(1).ToUnixTimeMilliseconds().ToString(),
        ["no bdSeq"] = b => ((JsonArray)First(b, "NBIRTH").Payload!["metrics"]!).RemoveAt(0),
        ["bdSeq of another session"] = b => First(b, "NBIRTH").Metric("bdSeq")["long_value"] = "1",
        ["bdSeq as text"] = b => First(b, "NBIRTH").Metric("bdSeq")["datatype"] = 12,
        ["bdSeq begins at 1"] = b => Wills(b, +1),
        ["bdSeq stays"] = b => Will(b.Wrap.Sessions[1])["long_value"] = "254",
        ["bdSeq of the will as text"] = b => Will(b.Ordinary.Sessions[0])["datatype"] = 12,
        ["death of another session"] = b => b.Ordinary.Of("NDEATH").Last().Metric("bdSeq")["long_value"] = "0",
        ["no rebirth"] = b => ((JsonArray)First(b, "NBIRTH").Payload!["metrics"]!).RemoveAt(1),
        ["rebirth with an alias"] = b => First(b, "NBIRTH").Metric("Node Control/Rebirth")["alias"] = "900",
        ["rebirth as a number"] = b => First(b, "NBIRTH").Metric("Node Control/Rebirth")["datatype"] = 3,
        ["rebirth is true"] = b => First(b, "NBIRTH").Metric("Node Control/Rebirth")["boolean_value"] = true,
        ["data go on after a request"] = b => b.Ordinary.Messages.Insert(b.Ordinary.Messages.IndexOf(Request(b)) + 1, Last(b, "DDATA").Copy()),
        ["one device is not born again"] = b => b.Ordinary.Messages.Remove(Requested(b)),
        ["births after a request of another session"] = b => AfterRequest(b, "NBIRTH").Metric("bdSeq")["long_value"] = "1",
        ["data before births"] = b => b.Ordinary.Messages.Insert(b.Ordinary.Messages.IndexOf(First(b, "NBIRTH")) + 1, First(b, "DDATA").Copy()),
        ["a device before the node"] = b => b.Ordinary.Messages.Insert(0, First(b, "DBIRTH").Copy()),
        ["a reading lost"] = b => ((JsonArray)Last(b, "DDATA").Payload!["metrics"]!).RemoveAt(0),
        ["a reading changed"] = b => Last(b, "DDATA").Metrics.First()["double_value"] = 0.125,
        ["readings out of order"] = b => b.Ordinary.Of("DDATA").First(m => m.Device == "cell-1").Metrics.First()["timestamp"] = Scenarios.Start.AddMinutes(1).ToUnixTimeMilliseconds().ToString(),
        ["no alias in data"] = b => Last(b, "DDATA").Metrics.First().Remove("alias"),
        ["an alias twice"] = b => b.Ordinary.Of("DBIRTH").First(m => m.Device == "cell-2-logger").Metrics.First()["alias"] = "1",
        ["no alias in a birth"] = b => Metric(b, "DBIRTH", "Readings/tc1").Remove("alias"),
        ["a name in data"] = b => Last(b, "DDATA").Metrics.First()["name"] = "Readings/tc1",
        ["a datatype in data"] = b => Last(b, "DDATA").Metrics.First()["datatype"] = 10,
        ["a metric without time"] = b => Last(b, "DDATA").Metrics.First().Remove("timestamp"),
        ["a metric in local time"] = b => Last(b, "DDATA").Metrics.First()["timestamp"] = Scenarios.Start.AddHours(1).ToUnixTimeMilliseconds().ToString(),
        ["a key without a value"] = b => ((JsonArray)Properties(b)["keys"]!).Add("Unit"),
        ["a property without type"] = b => Quality(b).Remove("type"),
        ["a property of a type that there is none of"] = b => Quality(b)["type"] = 99,
        ["a property's type below zero"] = b => Quality(b)["type"] = -3,
        ["data of the node that nothing has changed"] = b => b.Ordinary.Messages.Add(NodeData(b)),
        ["a node's metric changes with a rebirth"] = b => AfterRequest(b, "NBIRTH").Metric("Node Control/Rebirth")["boolean_value"] = true,
        ["a template that nobody has defined"] = b => Last(b, "DDATA").Metrics.First()["template_value"] = new JsonObject { ["template_ref"] = "Joint" },
        ["a template defined by a device"] = b => Metric(b, "DBIRTH", "Readings/tc1")["template_value"] = new JsonObject { ["is_definition"] = true },
        ["quality as text"] = b => Quality(b)["type"] = 12,
        ["quality of another code"] = b => Quality(b)["int_value"] = 100,
        ["no will"] = b => b.Ordinary.Sessions[0].Connect.WillTopic = null,
        ["a will for somebody else"] = b => b.Ordinary.Sessions[0].Connect.WillTopic = Scenarios.Topic("NDEATH") + "2",
        ["a will by quality 0"] = b => b.Ordinary.Sessions[0].Connect.WillQuality = 0,
        ["a will that is kept"] = b => b.Ordinary.Sessions[0].Connect.WillRetain = true,
        ["the session outlives the connection"] = b => b.Ordinary.Sessions[0].Connect.CleanStart = false,
        ["something before CONNECT"] = b => b.Ordinary.Sessions[0].Packets.Insert(0, new Packet("PUBLISH")),
        ["commands by quality 0"] = b => b.Ordinary.Sessions[0].Packets.First(p => p.Kind == "SUBSCRIBE").Filters[0] = (Scenarios.Topic("NCMD"), 0),
        ["data as the first message"] = b => b.Ordinary.Sessions[0].Packets.Insert(2, new Packet("PUBLISH") { Topic = Scenarios.Topic("DDATA") + "/cell-1" }),
        ["an end without a word"] = b => b.Ordinary.Sessions[0].Packets.RemoveAt(b.Ordinary.Sessions[0].Packets.Count - 2),
        ["something between death and end"] = b => b.Ordinary.Sessions[0].Packets.Insert(b.Ordinary.Sessions[0].Packets.Count - 1, new Packet("SUBSCRIBE")),
        ["an end that takes the will back"] = b => b.Ordinary.Sessions[0].Disconnect!.Reason = 0,
        ["a silent instrument lives on"] = b => b.Ordinary.Messages.Remove(First(b, "DDEATH")),
        ["born without waiting for the host"] = b => MoveBirth(b, 0),
        ["born for another host"] = b => MoveBirth(b, State(b, 500) + 1),
        ["born though the host is offline"] = b => MoveBirth(b, State(b, 100) + 1),
        ["born for an old message"] = b => MoveBirth(b, State(b, 150) + 1, second: true),
        ["lives on without its host"] = b => b.Host.Messages.RemoveAll(m => m.Type == "NDEATH"),
        ["dies of an old message"] = b => b.Host.Messages.Insert(State(b, 50) + 1, b.Host.Of("NDEATH").First().Copy()),
        ["stays where its host is not"] = b => b.Walk.Messages.RemoveAll(m => m.Type == "NBIRTH" && m.Server == 1),
        ["two sessions at once"] = b => (b.Walk.Sessions[0].Closed, b.Walk.Sessions[0].DisconnectAt) = (int.MaxValue, null),
    };

    private static void Each(Bundle b, Action<Message> change, params string[] types) => b.Ordinary.Of(types).ToList().ForEach(change);

    private static Message First(Bundle b, string type) => b.Ordinary.Of(type).First();

    private static Message Last(Bundle b, string type) => b.Ordinary.Of(type).Last();

    private static JsonObject Metric(Bundle b, string type, string name) => b.Ordinary.Of(type).First(m => m.Metrics.Any(x => (string?)x["name"] == name)).Metric(name);

    private static Message Request(Bundle b) => b.Ordinary.Messages.Last(m => m.Type == "NCMD");

    private static Message AfterRequest(Bundle b, string type) => b.Ordinary.Messages.Skip(b.Ordinary.Messages.IndexOf(Request(b))).First(m => m.Type == type);

    private static Message NodeData(Bundle b)
    {
        Message data = Last(b, "DDATA").Copy();
        data.Topic = Scenarios.Topic("NDATA");
        return data;
    }

    private static Message Requested(Bundle b) => b.Ordinary.Messages.Skip(b.Ordinary.Messages.IndexOf(Request(b))).First(m => m.Type == "DBIRTH" && m.Device == "cell-1-logger");

    private static JsonObject Properties(Bundle b) => (JsonObject)Requested(b).Metrics.First(m => m["properties"] is not null)["properties"]!;

    private static JsonObject Quality(Bundle b) => (JsonObject)((JsonArray)Properties(b)["values"]!)[0]!;

    private static JsonObject Will(Session session) => (JsonObject)((JsonArray)session.Will!["metrics"]!)[0]!;

    private static void Wills(Bundle b, int more) => b.Ordinary.Sessions.ForEach(s => Will(s)["long_value"] = (s.WillBdSeq + more).ToString());

    private static int State(Bundle b, long time) => b.Host.Messages.FindIndex(m => m.Type == "STATE" && (long)m.Payload!["timestamp"]! == time);

    private static void MoveBirth(Bundle b, int to, bool second = false)
    {
        Message birth = b.Host.Of("NBIRTH").ElementAt(second ? 1 : 0);
        b.Host.Messages.Remove(birth);
        b.Host.Messages.Insert(to, birth);
    }
}
