namespace ThermoWatch.Feeds.Mqtt;

/// <summary>The brokers of one target, in order of preference. At most one of them is connected at any time.</summary>
internal sealed class BrokerLinks : IAsyncDisposable
{
    private readonly BrokerLink[] _links;

    /// <param name="brokers">At least one.</param>
    /// <param name="time">By which certificates expire; null: the computer's clock.</param>
    /// <param name="received">Told of messages of the broker that is connected; null: of none.</param>
    public BrokerLinks(IReadOnlyList<Broker> brokers, TimeProvider? time, Func<string, byte[], Task>? received = null)
    {
        ArgumentOutOfRangeException.ThrowIfZero(brokers.Count);
        _links = [.. brokers.Select(b => new BrokerLink(b, time))];
        foreach (BrokerLink link in _links)
        {
            link.Received = (topic, payload) => link == Current && received is not null ? received(topic, payload) : Task.CompletedTask;
        }
    }

    public int Count => _links.Length;

    /// <summary>Place of the one whose turn it is.</summary>
    public int At { get; private set; }

    public BrokerLink Current => _links[At];

    /// <summary>For people: the first, and which others.</summary>
    public string Address => string.Join(" or ", _links.Select(l => l.Broker));

    /// <summary>It is the next one's turn; after the last one the first.</summary>
    public void Advance() => At = (At + 1) % _links.Length;

    /// <summary>Tries them in order, from the one whose turn it is, until one has let us in and has been made ready.</summary>
    /// <param name="ready">Connects if need be and makes ready; says what is wrong, or null.</param>
    /// <param name="stopping">Ends it.</param>
    /// <returns>What is wrong with each; null if one is ready.</returns>
    public async Task<Delivery?> WalkAsync(Func<BrokerLink, Task<Delivery?>> ready, CancellationToken stopping)
    {
        List<(Broker Broker, Delivery Trouble)> said = [];
        for (int i = 0; i < _links.Length; i++)
        {
            stopping.ThrowIfCancellationRequested();
            BrokerLink link = Current;
            bool stays = false;
            try
            {
                if (await ready(link).ConfigureAwait(false) is not { } trouble)
                {
                    stays = true;
                    return null;
                }

                said.Add((link.Broker, trouble));
            }
            finally
            {
                if (!stays)
                {
                    Advance(); // also when time is up: one that does not answer must not be the first to be asked again
                }
            }
        }

        return said switch
        {
            [var (_, only)] => only,
            _ => new Delivery(
                said.TrueForAll(s => s.Trouble.Outcome == DeliveryOutcome.Refused) ? DeliveryOutcome.Refused : DeliveryOutcome.TryAgain,
                string.Join(" ", said.Select(s => $"{s.Broker.Host}:{s.Broker.Port}: {s.Trouble.Words}"))),
        };
    }

    public async ValueTask DisposeAsync()
    {
        foreach (BrokerLink link in _links)
        {
            await link.DisposeAsync().ConfigureAwait(false);
        }
    }
}
