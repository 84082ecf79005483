using System.Globalization;
using System.Net;
using ThermoWatch.Feeds;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Sparkplug;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads feeds that go to a broker.</summary>
internal static class BrokerReader
{
    /// <summary>One that does not answer must leave time for the next.</summary>
    private static readonly TimeSpan OneOfSeveral = TimeSpan.FromSeconds(3);

    private static readonly Dictionary<string, bool> Versions = new() { ["5"] = true, ["3.1.1"] = false };

    public static FeedMaker ReadMqtt(JsonScope scope)
    {
        int window = scope.Whole("window", 1, 100, 16);
        Broker[] brokers = [.. Read(scope).Select(b => b with { Window = window })];
        string root = scope.OptionalText("topic") ?? "thermowatch";
        if (root.Length == 0 || root.AsSpan().ContainsAny("+#\0") || root[0] == '/' || root[^1] == '/')
        {
            scope.Fault("topic", $"is \"{root}\"", "Use levels parted by slashes, without + and #, and no slash at either end.");
        }

        return new FeedMaker(context => new MqttTarget(brokers, root, context.Time)) { InClear = InClear(brokers) };
    }

    public static FeedMaker ReadSparkplug(JsonScope scope)
    {
        Broker[] brokers = Read(scope);
        var names = new SparkplugNames(Id(scope, "group"), Id(scope, "node"), scope.Has("primaryHost") ? Id(scope, "primaryHost") : null);
        return new FeedMaker(context => new SparkplugTarget(brokers, names, context.Cells, context.Folder, context.Time))
        {
            Step = new FeedStep(SparkplugTarget.TimeStep, null),
            InClear = InClear(brokers),
        };
    }

    /// <summary>Finds two feeds that a broker, or a host behind it, could not tell apart.</summary>
    /// <param name="scope">A feed of any kind.</param>
    /// <param name="taken">What the feeds before it are known by.</param>
    public static void FindTwins(JsonScope scope, HashSet<string> taken)
    {
        if (scope.OptionalText("kind") is not ("mqtt" or "sparkplug") || scope.OptionalText("host") is not { } host)
        {
            return;
        }

        string at = FormattableString.Invariant($"{host.ToLowerInvariant()}:{scope.Whole("port", 1, 65535, scope.Flag("tls") ? 8883 : 1883)}");
        if (scope.OptionalText("clientId") is { } client && !taken.Add($"{at}\nclient\n{client}"))
        {
            scope.Fault("clientId", $"is \"{client}\" a second time at {at}", "A broker ends the connection of the one when the other comes: give each feed its own, or leave it out.");
        }

        if (scope.OptionalText("node") is { } node && !taken.Add($"{at}\nnode\n{scope.OptionalText("group")}\n{node}"))
        {
            scope.Fault("node", $"is \"{node}\" a second time in its group at {at}", "Hosts would take both for one: give each feed a node of its own.");
        }
    }

    private static string? InClear(Broker[] brokers) =>
        Array.Exists(brokers, b => b is { Password: not null, Tls: false } && !(b.Host == "localhost" || (IPAddress.TryParse(b.Host, out IPAddress? at) && IPAddress.IsLoopback(at)))) ? "tls" : null;

    private static string Id(JsonScope scope, string key)
    {
        string id = scope.Text(key, "Give it a name that is unique in the plant.");
        if (id.AsSpan().ContainsAny("+#/\0"))
        {
            scope.Fault(key, $"is \"{id}\"", "Names of Sparkplug are without +, / and #.");
        }

        return id;
    }

    private static Broker[] Read(JsonScope scope)
    {
        bool tls = scope.Flag("tls");
        (string? certificate, string? key) = (scope.OptionalFile("certificate"), scope.OptionalFile("key"));
        if (certificate is null != key is null)
        {
            scope.Fault(certificate is null ? "certificate" : "key", "is missing", "A certificate and its key belong together: name a PEM file for each.");
        }

        foreach (string of in (string[])["authority", "certificate"])
        {
            if (!tls && scope.Has(of))
            {
                scope.Fault(of, "stands beside a connection without encryption", "Write \"tls\": true, or leave the key out: by itself it encrypts nothing.");
            }
        }

        (string? user, Secret? password) = (scope.OptionalText("user"), FeedReader.Secret(scope, "password"));
        if (password is not null && user is null)
        {
            scope.Fault("user", "is missing", "A password belongs to a user.");
        }

        int port = scope.Whole("port", 1, 65535, tls ? 8883 : 1883);
        var first = new Broker(Host(scope), port)
        {
            Version5 = scope.Word("mqtt", Versions, true),
            ClientId = scope.OptionalText("clientId") ?? "thermowatch-" + scope.OptionalText("id"),
            User = user,
            Password = password,
            Tls = tls,
            AuthorityFile = scope.OptionalFile("authority"),
            CertificateFile = certificate,
            KeyFile = key,
        };
        (string Host, int Port)[] others = [.. OthersOf(scope).Select((text, at) => HostAndPort(scope, text, at, port))];
        return others.Length == 0 ? [first] : [.. others.Prepend((Host: first.Host, Port: port)).Select(other => first with { Host = other.Host, Port = other.Port, Patience = OneOfSeveral })];
    }

    private static string Host(JsonScope scope)
    {
        string host = scope.Text("host", "Name the broker.");
        if (host.Length > 0 && Uri.CheckHostName(host) == UriHostNameType.Unknown)
        {
            scope.Fault("host", $"is \"{host}\"", "Write its name or address alone: \"broker\". The port stands in port, encryption in tls.");
        }

        return host;
    }

    private static IReadOnlyList<string> OthersOf(JsonScope scope) =>
        scope.Has("otherHosts") ? scope.Texts("otherHosts", "Name the other brokers: [\"broker2\", \"broker3:1884\"].") : [];

    private static (string Host, int Port) HostAndPort(JsonScope scope, string text, int at, int portByDefault)
    {
        int colon = text.LastIndexOf(':');
        int port = portByDefault;
        if (text.Length == 0 || colon == 0 || (colon > 0 && (!int.TryParse(text.AsSpan(colon + 1), NumberStyles.None, CultureInfo.InvariantCulture, out port) || port is < 1 or > 65535)))
        {
            scope.Fault(FormattableString.Invariant($"otherHosts[{at}]"), $"is \"{text}\"", "Write the name or address of a broker, with a port behind a colon if it has another one: \"broker2:1884\".");
        }

        return (colon > 0 ? text[..colon] : text, port);
    }
}
