using System.Text.RegularExpressions;
using ThermoWatch.Feeds;
using ThermoWatch.Feeds.Webhook;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads the feeds of a configuration: what all have in common here, each kind in a reader of its own.</summary>
internal static partial class FeedReader
{
    private delegate FeedMaker Kind(JsonScope scope);

    private static readonly Dictionary<string, Kind> Kinds = new()
    {
        ["influx"] = InfluxReader.Read,
        ["mqtt"] = BrokerReader.ReadMqtt,
        ["sparkplug"] = BrokerReader.ReadSparkplug,
        ["webhook"] = ReadWebhook,
    };

    public static IReadOnlyList<FeedConfiguration> Read(JsonScope top, IReadOnlyCollection<int> cells)
    {
        List<FeedConfiguration> feeds = [];
        HashSet<string> brokers = [];
        foreach (JsonScope scope in top.OptionalObjects("feeds"))
        {
            FeedConfiguration feed = ReadOne(scope, cells);
            if (feeds.Exists(other => other.Options.Id == feed.Options.Id))
            {
                scope.Fault("id", $"is \"{feed.Options.Id}\" a second time", "Give every feed an id of its own: its position is kept under it.");
            }

            feeds.Add(feed);
            BrokerReader.FindTwins(scope, brokers);
        }

        return feeds;
    }

    /// <summary>A secret: never in clear.</summary>
    public static Secret? Secret(JsonScope scope, string key)
    {
        const string Remedy = "Secrets never stand here. Write {\"environment\": \"NAME\"} or {\"file\": \"path\"}.";
        if (scope.Find(key) is not { } found)
        {
            return null;
        }

        if (found.ValueKind != System.Text.Json.JsonValueKind.Object)
        {
            scope.Fault(key, "stands here in clear", Remedy);
            return null;
        }

        JsonScope secret = scope.Object(key)!;
        (string? variable, string? file) = (secret.OptionalText("environment"), secret.OptionalFile("file"));
        secret.NothingElse();
        if (variable is null == file is null)
        {
            scope.Fault(key, variable is null ? "names neither a variable nor a file" : "names both a variable and a file", Remedy);
            return null;
        }

        return new Secret(variable, file);
    }

    /// <summary>An address that must be there.</summary>
    public static Uri Url(JsonScope scope, string example)
    {
        string text = scope.Text("url", $"Write the address: \"{example}\".");
        if (Uri.TryCreate(text, UriKind.Absolute, out Uri? url) && url.Scheme is "http" or "https" && url.UserInfo.Length == 0)
        {
            return url;
        }

        if (text.Length > 0)
        {
            scope.Fault("url", url?.UserInfo.Length > 0 ? "holds a user or a password" : $"is \"{text}\"", $"Write an address that begins with http:// or https://, without user and password: \"{example}\".");
        }

        return new Uri("http://localhost");
    }

    /// <summary>File of the authority that has signed the server's certificate.</summary>
    public static string? Authority(JsonScope scope, Uri url)
    {
        string? file = scope.OptionalFile("authority");
        if (file is not null && url.Scheme != "https")
        {
            scope.Fault("authority", "stands beside an address without encryption", "Write an address that begins with https://, or leave the key out.");
        }

        return file;
    }

    /// <summary>Whether a secret goes in clear, and by which key.</summary>
    public static string? InClear(Uri url, Secret? secret) => secret is not null && url is { Scheme: "http", IsLoopback: false } ? "url" : null;

    private static FeedMaker ReadWebhook(JsonScope scope)
    {
        (Uri url, Secret? token, string source) = (Url(scope, "https://mes/events"), Secret(scope, "token"), scope.OptionalText("source") is null ? "/thermowatch" : scope.Text("source", "Name this node, such as \"/plant1/hall2\", or leave the key out."));
        string? authority = Authority(scope, url);
        return new FeedMaker(_ => new WebhookTarget(url, token, source, authority)) { InClear = InClear(url, token) };
    }

    private static FeedConfiguration ReadOne(JsonScope scope, IReadOnlyCollection<int> cells)
    {
        string id = scope.Text("id", "Name the feed with letters, digits, hyphen and underscore.");
        if (id.Length > 0 && !Id().IsMatch(id))
        {
            scope.Fault("id", $"is \"{id}\"", "Use up to 64 letters, digits, hyphens and underscores: it is the name of a folder too.");
        }

        string kind = scope.Text("kind", "Use one of: " + string.Join(", ", Kinds.Keys) + ".");
        var maker = new FeedMaker(_ => throw new InvalidOperationException("The feed has faults."));
        if (Kinds.TryGetValue(kind, out Kind? read))
        {
            maker = read(scope);
        }
        else if (kind.Length > 0)
        {
            scope.Fault("kind", $"is \"{kind}\"", "Use one of: " + string.Join(", ", Kinds.Keys) + ".");
        }

        bool eventsOnly = kind == "webhook" || scope.Flag("eventsOnly");
        FeedOptions byDefault = new(id);
        FeedOptions options = byDefault with
        {
            BatchReadings = scope.Whole("batchReadings", 1, 50000, byDefault.BatchReadings),
            Period = TimeSpan.FromMilliseconds(scope.Whole("period_ms", 10, 60000, (int)byDefault.Period.TotalMilliseconds)),
            Timeout = TimeSpan.FromSeconds(scope.Number("timeout_s", 0.1, 300, byDefault.Timeout.TotalSeconds)),
            LongestWait = TimeSpan.FromSeconds(scope.Number("longestWait_s", 1, 3600, byDefault.LongestWait.TotalSeconds)),
            AlarmAfter = TimeSpan.FromSeconds(scope.Number("alarmAfter_s", 1, 86400, byDefault.AlarmAfter.TotalSeconds)),
            LiveFirstAfter = scope.Has("liveFirstAfter_s") ? TimeSpan.FromSeconds(scope.Number("liveFirstAfter_s", 1, 1e6, null)) : null,
            BackfillReadingsPerSecond = scope.Has("backfillReadings_per_s") ? scope.Number("backfillReadings_per_s", 1, 1e7, null) : null,
            FromBeginning = scope.Flag("fromBeginning"),
        };
        int[] fed = scope.Has("cells") ? [.. scope.Numbers("cells").Select(n => (int)n)] : [];
        if (cells.Count > 0 && Array.Find(fed, n => !cells.Contains(n)) is var unknown and not 0)
        {
            scope.Fault("cells", $"names cell {unknown}, which is not there", "Name cells of this file by their numbers, or leave the key out for all of them.");
        }

        if (read is not null)
        {
            scope.NothingElse();
        }

        return new FeedConfiguration(options, fed, !eventsOnly, maker.Target) { Path = scope.Path, Step = maker.Step, InClear = maker.InClear };
    }

    [GeneratedRegex("^[A-Za-z0-9_-]{1,64}$")]
    private static partial Regex Id();
}
