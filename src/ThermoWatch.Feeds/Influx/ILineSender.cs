namespace ThermoWatch.Feeds.Influx;

/// <summary>Hands lines to a database and waits for its answer. One call at a time.</summary>
internal interface ILineSender : IDisposable
{
    /// <summary>Where it is, without any secret.</summary>
    string Address { get; }

    /// <summary>Sends lines. What the network can do is an answer, not an exception; only cancelling throws.</summary>
    Task<HttpAnswer> SendAsync(ReadOnlyMemory<byte> lines, CancellationToken stopping);
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

    /// <summary>File of the authority (PEM) that has signed the server's certificate; null: those that the computer trusts.</summary>
    public string? AuthorityFile { get; init; }

    /// <summary>Whether batches travel compressed.</summary>
    public bool Gzip { get; init; } = true;

    /// <summary>How finely times are sent.</summary>
    public LinePrecision Precision { get; init; }

    /// <summary>How far apart two times must be, at least, to stay two.</summary>
    public TimeSpan Step => LineTime.Step(Precision);

    /// <summary>Address for people.</summary>
    public override string ToString() => $"{Url.GetLeftPart(UriPartial.Path).TrimEnd('/')}, {(Version == 1 ? "database" : "bucket")} {Bucket}";
}
