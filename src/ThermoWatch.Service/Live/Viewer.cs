using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR;

namespace ThermoWatch.Service.Live;

/// <summary>
/// One browser that watches one cell. It gets what it can take: frames wait in a short queue, the state only in its
/// newest form. Nobody waits for it; a viewer whose queue ran over is told from where to ask for what it missed.
/// </summary>
internal sealed class Viewer
{
    // Two seconds at 10 Hz: longer than any hiccup worth hiding, short enough that a stalled page costs nothing.
    private const int QueuedFrames = 20;
    private static readonly TimeSpan StatePeriod = TimeSpan.FromMilliseconds(250);
    private readonly Channel<ScanFrame> _frames = Channel.CreateBounded<ScanFrame>(QueuedFrames);
    private readonly Channel<ReadingMark> _marks = Channel.CreateBounded<ReadingMark>(QueuedFrames);
    private readonly ISingleClientProxy _client;
    private CellState? _state;
    private CellState? _since;
    private long _lastQueued;
    private long _missedAfter = -1;

    public Viewer(ISingleClientProxy client, int cell, CellState? since)
    {
        _client = client;
        _since = since;
        Cell = cell;
    }

    public int Cell { get; }

    public void Offer(ScanFrame frame)
    {
        if (_frames.Writer.TryWrite(frame))
        {
            Volatile.Write(ref _lastQueued, frame.Seq);
        }
        else
        {
            Miss();
        }
    }

    /// <summary>A mark on a frame that was offered before.</summary>
    public void Offer(ReadingMark mark)
    {
        if (!_marks.Writer.TryWrite(mark))
        {
            Miss(); // what it asks for then carries the marks of the last seconds too
        }
    }

    /// <summary>It has been answered with a state again: what follows are changes of that one.</summary>
    public void BeginAnew(CellState? since) => Volatile.Write(ref _since, since);

    public void Offer(CellState state) => Volatile.Write(ref _state, state);

    /// <summary>Sends until the connection ends. A state travels with the next frame, or after a quarter second without one.</summary>
    public async Task SendAsync(CancellationToken gone)
    {
        Task<bool>? more = null;
        Task quarter = Task.CompletedTask;
        while (true)
        {
            more ??= _frames.Reader.WaitToReadAsync(gone).AsTask();
            // One clock for all frames that come within it: a timer a frame and viewer would be most of what they cost.
            quarter = quarter.IsCompleted ? Task.Delay(StatePeriod, gone) : quarter;
            await Task.WhenAny(more, quarter);
            gone.ThrowIfCancellationRequested();
            more = more.IsCompleted ? null : more;
            while (_frames.Reader.TryRead(out ScanFrame? frame))
            {
                // Four arguments, not an object: its keys would be a sixth of what travels ten times a second.
                await _client.SendAsync("scan", frame.Cell, frame.Seq, frame.T, frame.Data, gone);
            }

            while (_marks.Reader.TryRead(out ReadingMark? mark))
            {
                await _client.SendAsync("mark", mark, gone);
            }

            long missed = Interlocked.Exchange(ref _missedAfter, -1);
            if (missed >= 0)
            {
                await _client.SendAsync("missed", Cell, missed, gone);
            }

            if (Interlocked.Exchange(ref _state, null) is { } state)
            {
                await SendAsync(state, gone);
            }
        }
    }

    private async Task SendAsync(CellState state, CancellationToken gone)
    {
        if (Volatile.Read(ref _since) is not { } since)
        {
            await _client.SendAsync("state", state, gone);
            return;
        }

        // A state that was made before the one it was answered with says nothing new.
        if (state.Seq >= since.Seq && !ReferenceEquals(state, since))
        {
            Interlocked.CompareExchange(ref _since, state, since);
            await _client.SendAsync("change", StateChanges.Once(since, state), gone);
        }
    }

    private void Miss() => Interlocked.CompareExchange(ref _missedAfter, Volatile.Read(ref _lastQueued), -1);
}
