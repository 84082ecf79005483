using System.Collections.Concurrent;
using System.Threading.Channels;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Cells;

/// <summary>Orders that somebody waits for: they are answered once they stand in the record, so that nobody is told of what a kill could undo.</summary>
internal sealed class PendingOrders
{
    private readonly ConcurrentDictionary<EngineInput, TaskCompletionSource<bool>> _waiting = new(ReferenceEqualityComparer.Instance);
    private volatile bool _ended;

    /// <summary>Queues an order and waits for it.</summary>
    /// <returns>False if it was not taken: the queue is full, or the service ends.</returns>
    public async Task<bool> TakeAsync(EngineInput order, ChannelWriter<EngineInput> queue)
    {
        var kept = new TaskCompletionSource<bool>(TaskCreationOptions.RunContinuationsAsynchronously);
        _waiting[order] = kept; // before the look at the end, which looks at it afterwards
        if (_ended || !queue.TryWrite(order))
        {
            _waiting.TryRemove(order, out _);
            return false;
        }

        return await kept.Task;
    }

    /// <summary>An input stands in the record.</summary>
    public void Kept(EngineInput input)
    {
        if (input is not (ScanInput or TickInput) && _waiting.TryRemove(input, out TaskCompletionSource<bool>? asked))
        {
            asked.SetResult(true);
        }
    }

    /// <summary>Nothing more will be taken from the queue.</summary>
    public void End()
    {
        _ended = true;
        foreach (TaskCompletionSource<bool> asked in _waiting.Values)
        {
            asked.TrySetResult(false);
        }
    }
}
