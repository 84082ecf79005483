namespace ThermoWatch.Simulator.Wire;

/// <summary>Serves a serial line on a thread of its own: reads there can only be waited for, not awaited.</summary>
internal sealed class SerialService : IAsyncDisposable
{
    private readonly SerialLine _line;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _serving;

    public SerialService(SerialLine line, Action<SerialLine, CancellationToken> serve)
    {
        _line = line;
        _serving = Task.Factory.StartNew(() => Serve(serve), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
    }

    /// <summary>What a master opens.</summary>
    public string Name => _line.Name;

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _serving;
        _line.Dispose();
        _stop.Dispose();
    }

    private void Serve(Action<SerialLine, CancellationToken> serve)
    {
        try
        {
            serve(_line, _stop.Token);
        }
        catch (IOException)
        {
            // The adapter was pulled: a slave at the end of a wire that is gone has nothing more to do.
        }
    }
}
