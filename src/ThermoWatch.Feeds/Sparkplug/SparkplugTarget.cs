using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Names of an edge node.</summary>
/// <param name="Group">Its group.</param>
/// <param name="Node">Its own name; the pair is unique in the plant.</param>
/// <param name="PrimaryHost">Host application without which nothing is sent; null: none.</param>
public sealed record SparkplugNames(string Group, string Node, string? PrimaryHost);

/// <summary>An edge node of Sparkplug B 3.0. One publisher owns its counters; a command may only ask for a new birth.</summary>
/// <remarks>
/// Data have quality 0, as the specification asks. A batch counts when the broker has answered a ping that was sent after it:
/// on one connection it has then read everything before.
/// </remarks>
public sealed class SparkplugTarget : IFeedTarget
{
    /// <summary>Sparkplug counts whole milliseconds.</summary>
    public static readonly TimeSpan TimeStep = TimeSpan.FromMilliseconds(1);

    private readonly SparkplugNames _names;
    private readonly EdgeNode _node;
    private readonly SparkplugSession _session;
    private readonly TimeProvider _time;

    /// <summary>Births and data never mix: a command is answered between two messages, on a thread of its own.</summary>
    private readonly SemaphoreSlim _turn = new(1);
    private readonly CancellationTokenSource _ending = new();
    private Action _again = () => { };
    private int _stirs;

    /// <param name="brokers">The brokers, in order of preference: when one is gone, or its host is, the next one's turn comes.</param>
    /// <param name="names">What it is called.</param>
    /// <param name="cells">The cells as they are wired now: each, and each of its instruments, is a device.</param>
    /// <param name="folder">Where the count of births and deaths outlives a restart.</param>
    /// <param name="time">The clock of payloads.</param>
    public SparkplugTarget(IReadOnlyList<Broker> brokers, SparkplugNames names, IReadOnlyList<CellDefinition> cells, string folder, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(brokers);
        ArgumentNullException.ThrowIfNull(names);
        (_names, _time) = (names, time);
        _node = new EdgeNode(names.Group, names.Node, cells);
        _session = new SparkplugSession(brokers, names, _node, folder, time) { Stirred = Stir };
    }

    /// <inheritdoc/>
    public string Kind => "sparkplug";

    /// <inheritdoc/>
    public string Address => $"{_session.Address}, spBv1.0/{_names.Group}/+/{_names.Node}";

    /// <inheritdoc/>
    public string PrecisionRule => "ms: finer parts are cut off, towards the past";

    /// <inheritdoc/>
    public TimeSpan Step => TimeStep;

    /// <inheritdoc/>
    public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
    {
        ArgumentNullException.ThrowIfNull(batch);
        await _turn.WaitAsync(stopping).ConfigureAwait(false);
        try
        {
            foreach (CellDefinition wiring in batch.Items.OfType<ScanItem>().Select(s => s.Definition).Distinct(ReferenceEqualityComparer.Instance).Cast<CellDefinition>())
            {
                _node.Learn(wiring); // a wiring of the past may have channels that nobody was told of
            }

            return await _session.BeReadyAsync(stopping).ConfigureAwait(false)
                ?? await SayAsync(_node.Data(batch, NowMs), stopping).ConfigureAwait(false)
                ?? await _session.ConfirmAsync(stopping).ConfigureAwait(false)
                ?? Delivery.Confirmed;
        }
        finally
        {
            _turn.Release();
        }
    }

    /// <inheritdoc/>
    public async Task<string?> TendAsync(CancellationToken stopping)
    {
        await _turn.WaitAsync(stopping).ConfigureAwait(false);
        try
        {
            return (await _session.BeReadyAsync(stopping).ConfigureAwait(false) ?? await SayAsync(_node.Settle(null, NowMs), stopping).ConfigureAwait(false))?.Words;
        }
        finally
        {
            _turn.Release();
        }
    }

    /// <inheritdoc/>
    public void WhenReady(Action again) => _again = again;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync().ConfigureAwait(false);
        await _turn.WaitAsync().ConfigureAwait(false);
        await _session.DisposeAsync().ConfigureAwait(false);
        _ending.Dispose();
    }

    private ulong NowMs() => EdgeNode.Milliseconds(Timestamp.From(_time.GetUtcNow()));

    private async Task<Delivery?> SayAsync(IEnumerable<SparkplugMessage> messages, CancellationToken stopping)
    {
        using IEnumerator<SparkplugMessage> at = messages.GetEnumerator();
        while (true)
        {
            // A host that asks for births is given them before the next message is made: its number counts on from theirs.
            if (_session.MustBeBorn && await _session.BeReadyAsync(stopping).ConfigureAwait(false) is { } late)
            {
                return late;
            }

            if (!at.MoveNext())
            {
                return null;
            }

            if (await _session.PublishAsync(at.Current, stopping).ConfigureAwait(false) is { } failed)
            {
                return failed;
            }
        }
    }

    /// <summary>A host asked for births, or came, or went: answered at once, also while the feed is paused or has nothing to send.</summary>
    private void Stir()
    {
        if (Interlocked.Increment(ref _stirs) == 1)
        {
            _ = Task.Run(AnswerAsync);
        }
    }

    private async Task AnswerAsync()
    {
        int answered;
        do
        {
            answered = Volatile.Read(ref _stirs);
            try
            {
                do
                {
                    await Task.Delay(_session.Patience, _time, _ending.Token).ConfigureAwait(false);
                }
                while (await AnswerOnceAsync().ConfigureAwait(false) && _session.IsAsked);
            }
            catch (OperationCanceledException)
            {
                // The feed ends, or the broker did not answer: the next attempt begins anew.
            }
        }
        while (Interlocked.Add(ref _stirs, -answered) > 0);
    }

    private async Task<bool> AnswerOnceAsync()
    {
        await _turn.WaitAsync(_ending.Token).ConfigureAwait(false);
        try
        {
            if (!_session.IsConnected || await _session.BeReadyAsync(_ending.Token).ConfigureAwait(false) is not null)
            {
                return false;
            }
        }
        finally
        {
            _turn.Release();
        }

        _again(); // data follow the births at once, however long the feed meant to wait
        return true;
    }
}
