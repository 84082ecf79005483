namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>What a node owes its primary host. Each rule looks at the stretch of the recording between two messages of hosts.</summary>
internal static partial class Rules
{
    private static void Hosts()
    {
        const string Wait = "message-flow-edge-node-birth-publish-phid-";
        Rule(Wait + "wait", b => Nothing(b.Host.Messages.TakeWhile(m => !IsState(m, Scenarios.Host, true, 200)), b));
        Rule(Wait + "wait-id", b => Nothing(After(b, "other", true, 500), b));
        Rule(Wait + "wait-online", b => Nothing(After(b, Scenarios.Host, false, 100), b));
        Rule(Wait + "wait-timestamp", b => Nothing(After(b, Scenarios.Host, true, 150), b));
        Rule([Wait + "offline", "operational-behavior-edge-node-termination-host-offline"], b =>
        {
            // The death is the next thing said, the session ends, and the next one is not born before the host is back.
            Message death = After(b, Scenarios.Host, false, 200).First();
            Assert.Equal("NDEATH", death.Type);
            Assert.NotNull(b.Host.Sessions[death.Session].Disconnect);
            Session next = b.Host.Sessions[death.Session + 1];
            Assert.True(next.Opened > b.Host.Sessions[death.Session].Closed || next.Opened > 0);
            Assert.DoesNotContain(After(b, Scenarios.Host, false, 200), m => m.Type is "NBIRTH" or "DBIRTH" || m.IsData);
        });
        Rule("operational-behavior-edge-node-termination-host-offline-timestamp", b =>
        {
            Message[] after = [.. After(b, Scenarios.Host, false, 50)];
            Assert.Contains(after, m => m.IsData);
            Assert.DoesNotContain(after, m => m.Type is "NDEATH" or "NBIRTH");
        });
        Rule("operational-behavior-edge-node-termination-host-offline-reconnect", b =>
        {
            // Of two servers it goes to the other, of one it comes back to that, and is born again when the host is there.
            Assert.Equal([0, 1, 0], BornAt(b.Walk));
            Assert.Equal([0, 0], BornAt(b.Host));
        });
        Rule("operational-behavior-primary-application-state-with-multiple-servers-walk", b =>
        {
            int death = b.Walk.Messages.FindIndex(m => m.Type == "NDEATH");
            Assert.True(IsState(b.Walk.Messages.Take(death).Last(m => m.Type == "STATE" && m.Server == 0), Scenarios.Host, false, 100));
            Assert.NotNull(b.Walk.Sessions[b.Walk.Messages[death].Session].Disconnect);
            Assert.Equal(1, b.Walk.Of("NBIRTH").First(m => m.Session > b.Walk.Messages[death].Session).Server); // by session: two brokers do not deliver in one order
        });
        Rule("operational-behavior-primary-application-state-with-multiple-servers-single-server", b =>
        {
            Session[] sessions = [.. b.Walk.Sessions.OrderBy(s => s.Opened)];
            Assert.InRange(sessions.Length, 3, 99);
            Assert.All(sessions.Zip(sessions.Skip(1)), pair => Assert.True(LastWord(pair.First) < pair.Second.Opened, "Two sessions at once."));
        });
        Rule("operational-behavior-edge-node-birth-sequence-wait", b => Assert.All([b.Host, b.Walk], r =>
        {
            Assert.NotEmpty(r.Of("NBIRTH"));
            Assert.All(r.Of("NBIRTH"), birth => Assert.True(r.Messages.TakeWhile(m => m != birth).Last(m => m.Type == "STATE" && m.Server == birth.Server && m.Levels[2] == Scenarios.Host && !IsOld(m)).SaysOnline));
        }));
    }

    private static bool IsState(Message message, string host, bool online, long time) =>
        message.Type == "STATE" && message.Levels[2] == host && message.SaysOnline == online && (long)message.Payload!["timestamp"]! == time;

    /// <summary>The two messages that come out of order of time, and must not count.</summary>
    private static bool IsOld(Message message) => (long)message.Payload!["timestamp"]! is 50 or 150;

    /// <summary>What the node says between a message of a host and the next one, in the recording with one broker.</summary>
    private static IEnumerable<Message> After(Bundle b, string host, bool online, long time)
    {
        int at = b.Host.Messages.FindIndex(m => IsState(m, host, online, time));
        Assert.True(at >= 0, $"{host} did not say it.");
        return b.Host.Messages.Skip(at + 1).TakeWhile(m => m.Type != "STATE");
    }

    /// <summary>Nothing is said, and later, when the host is there, something is.</summary>
    private static void Nothing(IEnumerable<Message> messages, Bundle b)
    {
        Assert.DoesNotContain(messages, m => m.IsOurs);
        Assert.Equal(2, b.Host.Of("NBIRTH").Count());
    }

    private static IEnumerable<int> BornAt(Recording r) => r.Of("NBIRTH").Select(m => m.Server);

    /// <summary>When a session ended: its DISCONNECT, where it has sent one, is the last that the node has done there.</summary>
    private static int LastWord(Session session) => session.DisconnectAt ?? session.Closed;
}
