using ThermoWatch.Feeds;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Sparkplug;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads feeds that go to a broker.</summary>
internal static class BrokerReader
{
    private static readonly Dictionary<string, bool> Versions = new() { ["5"] = true, ["3.1.1"] = false };

    public static Func<FeedContext, IFeedTarget> ReadMqtt(JsonScope scope)
    {
        Broker broker = Read(scope) with { Window = scope.Whole("window", 1, 100, 16) };
        string root = scope.OptionalText("topic") ?? "thermowatch";
        if (root.Length == 0 || root.AsSpan().ContainsAny("+#\0") || root[0] == '/' || root[^1] == '/')
        {
            scope.Fault("topic", $"is \"{root}\"", "Use levels parted by slashes, without + and #, and no slash at either end.");
        }

        return _ => new MqttTarget(broker, root);
    }

    public static Func<FeedContext, IFeedTarget> ReadSparkplug(JsonScope scope)
    {
        Broker broker = Read(scope);
        var names = new SparkplugNames(Id(scope, "group"), Id(scope, "node"), scope.Has("primaryHost") ? Id(scope, "primaryHost") : null);
        return context => new SparkplugTarget(broker, names, context.Cells, context.Folder, context.Time);
    }

    private static string Id(JsonScope scope, string key)
    {
        string id = scope.Text(key, "Give it a name that is unique in the plant.");
        if (id.AsSpan().ContainsAny("+#/\0"))
        {
            scope.Fault(key, $"is \"{id}\"", "Names of Sparkplug are without +, / and #.");
        }

        return id;
    }

    private static Broker Read(JsonScope scope)
    {
        bool tls = scope.Flag("tls");
        (string? certificate, string? key) = (scope.OptionalText("certificate"), scope.OptionalText("key"));
        if (certificate is null != key is null)
        {
            scope.Fault(certificate is null ? "certificate" : "key", "is missing", "A certificate and its key belong together: name a PEM file for each.");
        }

        (string? user, Secret? password) = (scope.OptionalText("user"), FeedReader.Secret(scope, "password"));
        if (password is not null && user is null)
        {
            scope.Fault("user", "is missing", "A password belongs to a user.");
        }

        return new Broker(scope.Text("host", "Name the broker."), scope.Whole("port", 1, 65535, tls ? 8883 : 1883))
        {
            Version5 = scope.Word("mqtt", Versions, true),
            ClientId = scope.OptionalText("clientId") ?? "thermowatch-" + scope.OptionalText("id"),
            User = user,
            Password = password,
            Tls = tls,
            AuthorityFile = scope.OptionalText("authority"),
            CertificateFile = certificate,
            KeyFile = key,
        };
    }
}
