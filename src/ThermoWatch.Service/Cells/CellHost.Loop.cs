using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Cells;

/// <content>Its loop: what came is taken in turn, and the seconds in which nothing came are told too.</content>
internal sealed partial class CellHost
{
    /// <summary>The cell loop, until the service stops.</summary>
    public async Task RunAsync(CancellationToken stopping)
    {
        AssignSpec(FirstWaiting ?? _clock.Now);
        Task ticking = TickAsync(stopping);
        var batch = new EngineInput[BatchSize];
        try
        {
            while (await _inputs.Reader.WaitToReadAsync(stopping))
            {
                int count = 0;
                while (count < BatchSize && _inputs.Reader.TryRead(out EngineInput? input))
                {
                    batch[count++] = input;
                }

                Process(batch.AsSpan(0, count));
            }
        }
        catch (OperationCanceledException)
        {
            // Stopping: what was journalled stays, what is still queued came after the last poll that mattered.
        }

        _orders.End();
        await ticking;
    }

    /// <summary>Tells the engine of each second in which nothing came, so that silence is seen although nobody speaks.</summary>
    private async Task TickAsync(CancellationToken stopping)
    {
        using var second = new PeriodicTimer(TimeSpan.FromSeconds(1), _time);
        long lastSeen = -1;
        try
        {
            while (await second.WaitForNextTickAsync(stopping))
            {
                long last = _journal.LastSequence;
                if (last == lastSeen)
                {
                    _inputs.Writer.TryWrite(new TickInput(_clock.Now));
                    last++;
                }

                lastSeen = last;
                if (_self.Look(_clock.Now, _journal.Health) is { } report)
                {
                    _inputs.Writer.TryWrite(report);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // Stopping.
        }
    }
}
