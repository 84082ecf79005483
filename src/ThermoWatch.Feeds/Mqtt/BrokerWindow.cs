namespace ThermoWatch.Feeds.Mqtt;

/// <summary>Counts messages on the way. One thread sends; acknowledgements come on any.</summary>
/// <param name="size">How many may be on the way.</param>
internal sealed class BrokerWindow(int size)
{
    private readonly Lock _gate = new();
    private TaskCompletionSource? _waiting;
    private int _open, _until;

    /// <summary>What is wrong; null while nothing is. The first stays.</summary>
    public Delivery? Trouble { get; private set; }

    /// <summary>One more is on the way, if there is room for it.</summary>
    public bool TryEnter()
    {
        lock (_gate)
        {
            if (_open >= size)
            {
                return false;
            }

            _open++;
            return true;
        }
    }

    /// <summary>One of them has arrived, or never will.</summary>
    /// <param name="trouble">Why not; null if it has.</param>
    public void Leave(Delivery? trouble)
    {
        TaskCompletionSource? done = null;
        lock (_gate)
        {
            _open--;
            Trouble ??= trouble;
            if (_open <= _until)
            {
                (done, _waiting) = (_waiting, null);
            }
        }

        done?.SetResult();
    }

    /// <summary>Waits until half of the room is free: many small sendings would cost more than the wait.</summary>
    public Task HasRoomAsync(CancellationToken stopping) => FallToAsync(size / 2, stopping);

    /// <summary>Waits until none is on the way.</summary>
    public Task IsEmptyAsync(CancellationToken stopping) => FallToAsync(0, stopping);

    private Task FallToAsync(int until, CancellationToken stopping)
    {
        lock (_gate)
        {
            if (_open <= until)
            {
                return Task.CompletedTask;
            }

            (_until, _waiting) = (until, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously));
            return _waiting.Task.WaitAsync(stopping);
        }
    }
}
