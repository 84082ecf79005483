using System.Collections.Concurrent;
using Microsoft.AspNetCore.SignalR;

namespace ThermoWatch.Service.Live;

/// <summary>All browsers that are connected, and what each of them watches.</summary>
internal sealed class Viewers
{
    private readonly ConcurrentDictionary<(string Connection, int Cell), (Viewer Viewer, CancellationTokenSource Gone)> _viewers = new();

    /// <summary>How many pages watch a cell now.</summary>
    public int Count => _viewers.Count;

    public void Publish(ScanFrame frame)
    {
        foreach ((Viewer viewer, _) in _viewers.Values)
        {
            if (viewer.Cell == frame.Cell)
            {
                viewer.Offer(frame);
            }
        }
    }

    public void Publish(ReadingMark mark)
    {
        foreach ((Viewer viewer, _) in _viewers.Values)
        {
            if (viewer.Cell == mark.Cell)
            {
                viewer.Offer(mark);
            }
        }
    }

    public void Publish(CellState state)
    {
        foreach ((Viewer viewer, _) in _viewers.Values)
        {
            if (viewer.Cell == state.Cell)
            {
                viewer.Offer(state);
            }
        }
    }

    /// <param name="context">Its connection.</param>
    /// <param name="client">Where to send.</param>
    /// <param name="cell">What it wants to see.</param>
    /// <param name="since">The state that it was answered, if it wants changes of that; null: whole states.</param>
    public void Add(HubCallerContext context, ISingleClientProxy client, int cell, CellState? since)
    {
        (string, int) key = (context.ConnectionId, cell);
        var gone = CancellationTokenSource.CreateLinkedTokenSource(context.ConnectionAborted);
        var viewer = new Viewer(client, cell, since);
        if (_viewers.TryAdd(key, (viewer, gone)))
        {
            _ = SendUntilGone(key, viewer, gone);
        }
        else
        {
            gone.Dispose();
            if (_viewers.TryGetValue(key, out (Viewer Viewer, CancellationTokenSource) known))
            {
                known.Viewer.BeginAnew(since);
            }
        }
    }

    public void Take(string connection, int cell)
    {
        if (_viewers.TryGetValue((connection, cell), out (Viewer, CancellationTokenSource Gone) entry))
        {
            entry.Gone.Cancel();
        }
    }

    private async Task SendUntilGone((string, int) key, Viewer viewer, CancellationTokenSource gone)
    {
        try
        {
            await viewer.SendAsync(gone.Token);
        }
        catch (Exception e) when (e is OperationCanceledException or IOException or InvalidOperationException)
        {
            // The page went away: nothing to do for it.
        }
        finally
        {
            _viewers.TryRemove(key, out _);
            gone.Dispose();
        }
    }
}
