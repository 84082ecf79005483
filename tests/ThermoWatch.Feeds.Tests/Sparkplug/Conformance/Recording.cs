using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>A message as the broker gave it on, and how the node had sent it.</summary>
internal sealed class Message
{
    public required int Server { get; init; }

    /// <summary>Which session of the recording it belongs to; -1: somebody else's (STATE, NCMD).</summary>
    public int Session { get; set; } = -1;

    public required string Topic { get; set; }

    public byte[] Bytes { get; init; } = [];

    /// <summary>The payload as the independent decoder reads it; null: it is none.</summary>
    public JsonObject? Payload { get; set; }

    /// <summary>Quality and retain flag as they left the node, in a PUBLISH or in the will.</summary>
    public int Quality { get; set; }

    public bool Retain { get; set; }

    public bool IsWill { get; set; }

    public string[] Levels => Topic.Split('/');

    public string Type => Levels is ["spBv1.0", "STATE", ..] ? "STATE" : Levels.ElementAtOrDefault(2) ?? "";

    public string Device => Levels.ElementAtOrDefault(4) ?? "";

    public bool IsOurs => Session >= 0;

    public bool IsData => Type is "NDATA" or "DDATA";

    public long? Seq => Payload?["seq"] is { } seq ? long.Parse(seq.GetValue<string>()) : null;

    public long? Timestamp => Payload?["timestamp"] is { } time ? long.Parse(time.GetValue<string>()) : null;

    public IEnumerable<JsonObject> Metrics => (Payload?["metrics"] as JsonArray ?? []).Select(m => (JsonObject)m!);

    public JsonObject Metric(string name) => Metrics.Single(m => (string?)m["name"] == name);

    /// <summary>Of a STATE message.</summary>
    public bool SaysOnline => Payload!["online"]!.GetValue<bool>();

    public Message Copy() => new()
    {
        Server = Server,
        Session = Session,
        Topic = Topic,
        Bytes = Bytes,
        Payload = (JsonObject?)Payload?.DeepClone(),
        Quality = Quality,
        Retain = Retain,
        IsWill = IsWill,
    };
}

/// <summary>A connection of the node, from CONNECT to its end.</summary>
internal sealed class Session
{
    public required int Server { get; set; }

    /// <summary>Place of its beginning and end in the log: two sessions of which neither ends before the other begins overlap.</summary>
    public int Opened { get; set; }

    public int Closed { get; set; } = int.MaxValue;

    /// <summary>Place of its DISCONNECT in the log; null: it has sent none.</summary>
    public int? DisconnectAt { get; set; }

    public List<Packet> Packets { get; init; } = [];

    public JsonObject? Will { get; set; }

    public Packet Connect => Packets.First(p => p.Kind == "CONNECT");

    public Packet? Disconnect => Packets.Find(p => p.Kind == "DISCONNECT");

    public long WillBdSeq => long.Parse(((JsonArray)Will!["metrics"]!).Single(m => (string?)m!["name"] == "bdSeq")!["long_value"]!.GetValue<string>());

    public Session Copy() => new() { Server = Server, Opened = Opened, Closed = Closed, DisconnectAt = DisconnectAt, Packets = [.. Packets.Select(p => p.Copy())], Will = (JsonObject?)Will?.DeepClone() };
}

/// <summary>What a node said in one scenario.</summary>
internal sealed class Recording
{
    public List<Session> Sessions { get; init; } = [];

    public List<Message> Messages { get; init; } = [];

    /// <summary>Topics that a subscriber who came at the end was given as retained, but for STATE.</summary>
    public List<string> Kept { get; init; } = [];

    public IEnumerable<Message> Ours => Messages.Where(m => m.IsOurs);

    public IEnumerable<Message> Of(params string[] types) => Ours.Where(m => types.Contains(m.Type));

    /// <summary>Each birth sequence of the node: its NBIRTH and the DBIRTHs that follow without anything else of the session between.</summary>
    public IEnumerable<(Message Node, Message[] Devices)> BirthSequences() =>
        Of("NBIRTH").Select(node => (node, Ours.SkipWhile(m => m != node).Skip(1).Where(m => m.Session == node.Session).TakeWhile(m => m.Type == "DBIRTH").ToArray()));

    public Recording Copy() => new() { Sessions = [.. Sessions.Select(s => s.Copy())], Messages = [.. Messages.Select(m => m.Copy())], Kept = [.. Kept] };

    /// <summary>Puts together what the taps and the listeners have written down. Every message heard must be one that was sent, or a will, in order.</summary>
    public static Recording From(IReadOnlyList<Happening> log, IEnumerable<string> kept)
    {
        var recording = new Recording { Kept = [.. kept] };
        Dictionary<(int, int), int> sessions = [];
        var sent = new Dictionary<int, Queue<(int Session, Packet Packet)>>();
        for (int at = 0; at < log.Count; at++)
        {
            Happening happening = log[at];
            if (happening.Kind == "open")
            {
                sessions.Add((happening.Server, happening.Connection), recording.Sessions.Count);
                recording.Sessions.Add(new Session { Server = happening.Server, Opened = at });
            }
            else if (happening.Kind == "close")
            {
                recording.Sessions[sessions[(happening.Server, happening.Connection)]].Closed = at;
            }
            else if (happening.Kind == "packet")
            {
                int session = sessions[(happening.Server, happening.Connection)];
                recording.Sessions[session].Packets.Add(happening.Packet);
                if (happening.Packet.Kind == "DISCONNECT")
                {
                    recording.Sessions[session].DisconnectAt = at;
                }

                if (happening.Packet.Kind == "PUBLISH")
                {
                    (sent.TryGetValue(happening.Server, out var queue) ? queue : sent[happening.Server] = new()).Enqueue((session, happening.Packet));
                }
            }
        }

        foreach (Happening heard in log.Where(h => h.Kind == "heard"))
        {
            var message = new Message { Server = heard.Server, Topic = heard.Packet.Topic, Bytes = heard.Packet.Payload };
            recording.Messages.Add(message);
            if (message.Type is "STATE" or "NCMD")
            {
                continue;
            }

            if (sent.TryGetValue(heard.Server, out var queue) && queue.TryPeek(out var next) && next.Packet.Topic == message.Topic && next.Packet.Payload.AsSpan().SequenceEqual(message.Bytes))
            {
                queue.Dequeue();
                (message.Session, message.Quality, message.Retain) = (next.Session, next.Packet.Quality, next.Packet.Retain);
                continue;
            }

            int will = recording.Sessions.FindIndex(s => s.Server == heard.Server && s.Connect.WillTopic == message.Topic && s.Connect.WillPayload.AsSpan().SequenceEqual(message.Bytes));
            Assert.True(will >= 0, $"{message.Topic} was heard and never sent.");
            Packet connect = recording.Sessions[will].Connect;
            (message.Session, message.Quality, message.Retain, message.IsWill) = (will, connect.WillQuality, connect.WillRetain, true);
        }

        recording.Decode();
        return recording;
    }

    private void Decode()
    {
        Message[] ours = [.. Messages.Where(m => m.Type != "STATE")];
        JsonElement[] decoded = Decoder.Decode([.. ours.Select(m => m.Bytes), .. Sessions.Select(s => s.Connect.WillPayload)]);
        for (int i = 0; i < ours.Length; i++)
        {
            ours[i].Payload = JsonNode.Parse(decoded[i].GetRawText()) as JsonObject;
        }

        for (int i = 0; i < Sessions.Count; i++)
        {
            Sessions[i].Will = JsonNode.Parse(decoded[ours.Length + i].GetRawText()) as JsonObject;
        }

        foreach (Message state in Messages.Where(m => m.Type == "STATE"))
        {
            state.Payload = (JsonObject)JsonNode.Parse(Encoding.UTF8.GetString(state.Bytes))!;
        }
    }
}
