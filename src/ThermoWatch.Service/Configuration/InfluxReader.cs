using System.Text.Json;
using System.Text.RegularExpressions;
using ThermoWatch.Feeds.Influx;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads a feed of line protocol.</summary>
internal static partial class InfluxReader
{
    private static readonly Dictionary<string, LinePrecision> Precisions = new()
    {
        ["ms"] = LinePrecision.Milliseconds,
        ["us"] = LinePrecision.Microseconds,
        ["ns"] = LinePrecision.Nanoseconds,
    };

    private static readonly Dictionary<string, QualityAs> Qualities = new() { ["field"] = QualityAs.Field, ["tag"] = QualityAs.Tag, ["none"] = QualityAs.None };

    private enum QualityAs
    {
        Field,
        Tag,
        None,
    }

    public static FeedMaker Read(JsonScope scope)
    {
        int version = scope.Whole("version", 1, 2, 2);
        Uri url = FeedReader.Url(scope, "http://historian:8086");
        if (url.Query.Length > 0 || url.Fragment.Length > 0)
        {
            scope.Fault("url", "holds a query", "Write the address up to the question mark: \"http://historian:8086\". Bucket, organisation and token have keys of their own.");
        }

        var server = new LineServer(url, version, scope.Text("bucket", "Name the bucket, or the database of version 1."))
        {
            Organisation = scope.OptionalText("organisation") ?? "",
            Token = FeedReader.Secret(scope, "token"),
            User = scope.OptionalText("user"),
            AuthorityFile = FeedReader.Authority(scope, url),
            Gzip = !scope.Has("compress") || scope.Flag("compress"),
            Precision = scope.Word("precision", Precisions, LinePrecision.Milliseconds),
        };
        if (server is { User: not null, Token: null })
        {
            scope.Fault("token", "is missing", "A user has a password: write {\"environment\": \"NAME\"} or {\"file\": \"path\"}, or leave user out.");
        }

        LineNames names = ReadNames(scope);
        return new FeedMaker(_ => InfluxTarget.On(server, names))
        {
            Step = new FeedStep(server.Step, Precisions.First(p => p.Value == server.Precision).Key),
            InClear = FeedReader.InClear(url, server.Token),
        };
    }

    private static LineNames ReadNames(JsonScope scope)
    {
        LineNames names = new();
        if (scope.Object("names") is not { } said)
        {
            return names;
        }

        QualityAs quality = said.Word("qualityAs", Qualities, QualityAs.Field);
        List<KeyValuePair<string, string>> tags = [];
        if (said.Find("tags") is { ValueKind: JsonValueKind.Object } constant)
        {
            foreach (JsonProperty tag in constant.EnumerateObject())
            {
                if (tag.Value.ValueKind != JsonValueKind.String || tag.Value.GetString() is not { Length: > 0 } text || text.Any(char.IsControl) || text[^1] == '\\')
                {
                    said.Fault("tags." + tag.Name, "is no text that a tag can have", "Write text without control characters that does not end with a backslash.");
                    continue;
                }

                tags.Add(new(Portable(said, "tags." + tag.Name, tag.Name), text));
            }
        }

        names = new LineNames
        {
            Prefix = said.OptionalText("prefix") is { Length: > 0 } prefix ? Portable(said, "prefix", prefix) : "",
            Value = Portable(said, "value", said.OptionalText("value") ?? names.Value),
            Quality = quality == QualityAs.None ? null : Portable(said, "quality", said.OptionalText("quality") ?? names.Quality!),
            QualityIsTag = quality == QualityAs.Tag,
            Constant = tags,
        };
        said.NothingElse();
        return names;
    }

    private static string Portable(JsonScope scope, string key, string name)
    {
        if (!Name().IsMatch(name))
        {
            scope.Fault(key, $"is \"{name}\"", "Use small letters, digits and underscores, a letter first: other names are changed or refused by some databases.");
        }

        return name;
    }

    [GeneratedRegex("^[a-z][a-z0-9_]{0,63}$")]
    private static partial Regex Name();
}
