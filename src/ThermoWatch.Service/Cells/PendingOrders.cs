using System.Collections.Concurrent;
using System.Threading.Channels;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Cells;

/// <summary>What became of an order.</summary>
/// <param name="Taken">Whether it stands in the record; else the queue was full, or the service ended.</param>
/// <param name="Changed">Of an order on an alarm: whether it changed something.</param>
/// <param name="State">Of an order on an alarm: its state afterwards.</param>
internal readonly record struct OrderOutcome(bool Taken, bool Changed = true, AlarmState State = AlarmState.Normal);

/// <summary>Orders that somebody waits for: they are answered once they stand in the record, so that nobody is told of what a kill could undo.</summary>
internal sealed class PendingOrders
{
    private readonly ConcurrentDictionary<EngineInput, TaskCompletionSource<OrderOutcome>> _waiting = new(ReferenceEqualityComparer.Instance);
    private volatile bool _ended;

    /// <summary>Queues an order and waits for it.</summary>
    public async Task<OrderOutcome> TakeAsync(EngineInput order, ChannelWriter<EngineInput> queue)
    {
        var kept = new TaskCompletionSource<OrderOutcome>(TaskCreationOptions.RunContinuationsAsynchronously);
        _waiting[order] = kept; // before the look at the end, which looks at it afterwards
        if (_ended || !queue.TryWrite(order))
        {
            _waiting.TryRemove(order, out _);
            return new OrderOutcome(Taken: false);
        }

        return await kept.Task;
    }

    /// <summary>An input stands in the record.</summary>
    public void Kept(EngineInput input) => Kept(input, new OrderOutcome(Taken: true));

    /// <summary>An order stands in the record, and this became of it.</summary>
    public void Kept(EngineInput input, OrderOutcome outcome)
    {
        if (input is not (ScanInput or TickInput) && _waiting.TryRemove(input, out TaskCompletionSource<OrderOutcome>? asked))
        {
            asked.SetResult(outcome);
        }
    }

    /// <summary>Nothing more will be taken from the queue.</summary>
    public void End()
    {
        _ended = true;
        foreach (TaskCompletionSource<OrderOutcome> asked in _waiting.Values)
        {
            asked.TrySetResult(new OrderOutcome(Taken: false));
        }
    }
}
