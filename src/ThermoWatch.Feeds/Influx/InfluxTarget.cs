namespace ThermoWatch.Feeds.Influx;

/// <summary>A database that takes line protocol.</summary>
/// <remarks>
/// A batch that is refused for its contents is halved until the lines that are to blame stand alone; they are set aside with the
/// server's words and the rest goes on. Sending a line twice is harmless: same series and same time is the same point.
/// </remarks>
public sealed class InfluxTarget : IFeedTarget
{
    /// <summary>So many lines refused one by one, and none taken: it is not the lines.</summary>
    private const int NotTheLines = 16;

    private readonly ILineSender _sender;
    private readonly LineRenderer _renderer;
    private readonly LineBuffer _lines = new();
    private readonly LinePrecision _precision;

    internal InfluxTarget(ILineSender sender, LineNames names, LinePrecision precision) =>
        (_sender, _renderer, _precision) = (sender, new LineRenderer(names, precision), precision);

    /// <summary>A target on a server.</summary>
    /// <param name="server">Where it is.</param>
    /// <param name="names">What measurements, tags and fields are called.</param>
    public static InfluxTarget On(LineServer server, LineNames names)
    {
        ArgumentNullException.ThrowIfNull(server);
        return new InfluxTarget(new HttpLineSender(server), names, server.Precision);
    }

    /// <inheritdoc/>
    public string Kind => "influx";

    /// <inheritdoc/>
    public string Address => _sender.Address;

    /// <inheritdoc/>
    public string PrecisionRule => LineTime.Rule(_precision);

    /// <inheritdoc/>
    public TimeSpan Step => LineTime.Step(_precision);

    /// <inheritdoc/>
    public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
    {
        ArgumentNullException.ThrowIfNull(batch);
        _lines.Clear();
        foreach (FeedItem item in batch.Items)
        {
            _renderer.Add(item, _lines);
        }

        if (_lines.Lines == 0)
        {
            return Delivery.Confirmed; // nothing but bad readings
        }

        List<RejectedLine> rejected = [];
        (Delivery? trouble, _) = await SendAsync(0, _lines.Lines, rejected, 0, stopping).ConfigureAwait(false);
        return trouble ?? Delivery.AllBut(rejected);
    }

    /// <inheritdoc/>
    public async Task<Delivery> SendAgainAsync(IReadOnlyList<string> lines, CancellationToken stopping)
    {
        ArgumentNullException.ThrowIfNull(lines);
        _lines.Clear();
        foreach (string line in lines)
        {
            _lines.Add(line);
        }

        List<RejectedLine> rejected = [];
        (Delivery? trouble, _) = await SendAsync(0, _lines.Lines, rejected, NotTheLines, stopping).ConfigureAwait(false); // that all are refused again is to be expected
        return trouble ?? Delivery.AllBut(rejected);
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        _sender.Dispose();
        return ValueTask.CompletedTask;
    }

    /// <param name="first">First line.</param>
    /// <param name="count">How many.</param>
    /// <param name="rejected">Takes the lines that stand alone and are refused.</param>
    /// <param name="taken">Lines taken before these.</param>
    /// <param name="stopping">Ends it.</param>
    /// <returns>Why none of it counts; null if it does. And how many lines are taken by now.</returns>
    private async Task<(Delivery? Trouble, int Taken)> SendAsync(int first, int count, List<RejectedLine> rejected, int taken, CancellationToken stopping)
    {
        HttpAnswer answer = await _sender.SendAsync(_lines.Part(first, count), stopping).ConfigureAwait(false);
        switch (answer.Status)
        {
            case >= 200 and < 300 when answer.IsPage:
                return (Delivery.Refused("The address answers with a web page, and no database does: nothing was taken. Check url and version of the feed."), taken);
            case >= 200 and < 300:
                return (null, taken + count);
            case 400 or 413 or 422 when count == 1:
                rejected.Add(new RejectedLine(_lines.Line(first), answer.Words));
                return taken == 0 && rejected.Count >= NotTheLines
                    ? (Delivery.Refused($"It takes no line at all: {answer.Words}"), 0)
                    : (null, taken);
            case 400 or 413 or 422:
                int half = count / 2;
                (Delivery? trouble, taken) = await SendAsync(first, half, rejected, taken, stopping).ConfigureAwait(false);
                return trouble is not null ? (trouble, taken) : await SendAsync(first + half, count - half, rejected, taken, stopping).ConfigureAwait(false);
            case 408 or 429:
                return (Delivery.Later(answer.Words, answer.RetryAfter), taken);
            case >= 300 and < 500:
                return (Delivery.Refused(answer.WithRemedy(answer.Status switch
                {
                    401 => "Check user and token of the feed.",
                    403 => "Let the owner of the feed's token write there.",
                    _ => "Check url, version and bucket of the feed.",
                })), taken);
            default:
                return (Delivery.Later(answer.Words, answer.RetryAfter), taken);
        }
    }
}
