namespace ThermoWatch.Feeds.Influx;

/// <summary>Hands lines to a database and waits for its answer. One call at a time.</summary>
internal interface ILineSender : IDisposable
{
    /// <summary>Where it is, without any secret.</summary>
    string Address { get; }

    /// <summary>Sends lines. What the network can do is an answer, not an exception; only cancelling throws.</summary>
    Task<LineAnswer> SendAsync(ReadOnlyMemory<byte> lines, CancellationToken stopping);
}

/// <summary>What a database answered.</summary>
/// <param name="Status">HTTP status; zero if no answer came, 401 if a secret is missing on our side, or the server's certificate is not trusted.</param>
/// <param name="Words">What it said, or what is wrong with the way to it.</param>
/// <param name="RetryAfter">How long it asks us to wait; null if it does not say.</param>
internal readonly record struct LineAnswer(int Status, string Words, TimeSpan? RetryAfter = null)
{
    /// <summary>Words of an error body: the message of a JSON body, else its beginning.</summary>
    public static string WordsOf(string body)
    {
        try
        {
            using var json = System.Text.Json.JsonDocument.Parse(body);
            foreach (string key in (string[])["message", "error"])
            {
                if (json.RootElement.ValueKind == System.Text.Json.JsonValueKind.Object && json.RootElement.TryGetProperty(key, out var words) && words.GetString() is { Length: > 0 } text)
                {
                    return text;
                }
            }
        }
        catch (System.Text.Json.JsonException)
        {
            // Plain text.
        }

        return body.Length > 500 ? body[..500] : body.Trim();
    }
}

/// <summary>Where lines go.</summary>
/// <param name="Url">Address of the server, such as <c>http://historian:8086</c>.</param>
/// <param name="Version">2: <c>/api/v2/write</c> with bucket and organisation; 1: <c>/write</c> with a database.</param>
/// <param name="Bucket">Bucket, or the database of version 1.</param>
public sealed record LineServer(Uri Url, int Version, string Bucket)
{
    /// <summary>Organisation; empty where the server has none.</summary>
    public string Organisation { get; init; } = "";

    /// <summary>Token (version 2), or password (version 1); null: none.</summary>
    public Secret? Token { get; init; }

    /// <summary>User of version 1; null: none.</summary>
    public string? User { get; init; }

    /// <summary>Whether batches travel compressed.</summary>
    public bool Gzip { get; init; } = true;

    /// <summary>How finely times are sent.</summary>
    public LinePrecision Precision { get; init; }

    /// <summary>Address for people.</summary>
    public override string ToString() => $"{Url.GetLeftPart(UriPartial.Path).TrimEnd('/')}, {(Version == 1 ? "database" : "bucket")} {Bucket}";
}
