using System.Collections.Concurrent;
using Microsoft.AspNetCore.SignalR;

namespace ThermoWatch.Service.Live;

/// <summary>All browsers that are connected, and what each of them watches.</summary>
internal sealed class Viewers
{
    private readonly ILogger _log;
    private readonly ConcurrentDictionary<int, ConcurrentDictionary<string, Watching>> _cells = new();

    public Viewers(ILogger log) => _log = log;

    /// <summary>How many pages watch a cell now.</summary>
    public int Count => _cells.Values.Sum(cell => cell.Count);

    /// <summary>Tells all who watch a cell. One caller a cell at a time; nobody is waited for.</summary>
    public void Publish(int cell, LiveNews news)
    {
        foreach ((_, Watching watching) in Of(cell))
        {
            watching.Viewer.Offer(news);
        }
    }

    /// <param name="connection">Its connection.</param>
    /// <param name="cell">What it wants to see.</param>
    /// <param name="since">The state that it was answered, if it wants changes of that; null: whole states.</param>
    public void Add(HubConnectionContext connection, int cell, CellState? since)
    {
        var watching = new Watching(new Viewer(connection, cell, since, _log));
        Watching known = Of(cell).GetOrAdd(connection.ConnectionId, watching);
        if (ReferenceEquals(known, watching))
        {
            watching.Lost = connection.ConnectionAborted.Register(() => Take(connection.ConnectionId, cell));
        }
        else
        {
            known.Viewer.BeginAnew(since);
        }
    }

    public void Take(string connection, int cell)
    {
        if (Of(cell).TryRemove(connection, out Watching? watching))
        {
            watching.Viewer.End();
            watching.Lost.Unregister();
        }
    }

    private ConcurrentDictionary<string, Watching> Of(int cell) => _cells.GetOrAdd(cell, _ => new());

    private sealed class Watching(Viewer viewer)
    {
        public Viewer Viewer => viewer;

        /// <summary>What to do when the connection is lost.</summary>
        public CancellationTokenRegistration Lost { get; set; }
    }
}
