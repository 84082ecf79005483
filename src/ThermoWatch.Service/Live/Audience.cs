using System.Collections.Concurrent;
using Microsoft.AspNetCore.SignalR;

namespace ThermoWatch.Service.Live;

/// <summary>All browsers that watch one cell, told in turn by the thread pool: the cell's loop only leaves its news here.</summary>
/// <remarks>
/// A few viewers at a time, the next few behind the sends of these: what a send needs is then still at hand when the pool
/// comes to it, and hundreds of buffers need not exist at once. What comes while a round goes on is told in the next one, together.
/// </remarks>
internal sealed class Audience : IThreadPoolWorkItem
{
    /// <summary>A minute at 10 Hz: nothing that still runs is so late. Frames beyond are left out, and viewers told so.</summary>
    public const int Waiting = 600;
    private const int AtATime = 16;
    private readonly ConcurrentDictionary<string, Viewer> _viewers = new();
    private readonly int _cell;
    private readonly ILogger _log;
    private readonly Lock _gate = new();
    private readonly List<ScanFrame> _frames = [];
    private readonly List<ReadingMark> _marks = [];
    private CellState? _state;
    private bool _lost;
    private bool _telling;
    private LiveNews? _news;
    private IEnumerator<KeyValuePair<string, Viewer>>? _left;

    public Audience(int cell, ILogger log)
    {
        _cell = cell;
        _log = log;
    }

    public int Count => _viewers.Count;

    /// <summary>Leaves news for all viewers. Never waits.</summary>
    public void Tell(IReadOnlyList<ScanFrame> frames, IReadOnlyList<ReadingMark> marks, CellState? state)
    {
        if (_viewers.IsEmpty)
        {
            return;
        }

        lock (_gate)
        {
            _lost |= _frames.Count + frames.Count > Waiting || _marks.Count + marks.Count > Waiting;
            if (!_lost)
            {
                _frames.AddRange(frames);
                _marks.AddRange(marks);
            }

            _state = state ?? _state;
            if (_telling)
            {
                return;
            }

            _telling = true;
        }

        ThreadPool.UnsafeQueueUserWorkItem(this, preferLocal: false);
    }

    /// <summary>Tells the next few.</summary>
    void IThreadPoolWorkItem.Execute()
    {
        _news ??= Take();
        if (_news is null)
        {
            return;
        }

        _left ??= _viewers.GetEnumerator();
        int told = 0;
        while (told < AtATime && _left.MoveNext())
        {
            _left.Current.Value.Offer(_news);
            told++;
        }

        if (told < AtATime)
        {
            _left.Dispose();
            (_left, _news) = (null, null);
        }

        ThreadPool.UnsafeQueueUserWorkItem(this, preferLocal: false);
    }

    /// <summary>Answers what a viewer is to be answered; what comes after that is sent.</summary>
    /// <param name="connection">Its connection.</param>
    /// <param name="state">The cell's newest state. Asked for when the viewer is one already, or it might not be told of the next one.</param>
    /// <param name="changes">Whether it wants only what changes; else whole states.</param>
    public CellState Add(HubConnectionContext connection, Func<CellState> state, bool changes)
    {
        string id = connection.ConnectionId;
        var viewer = new Viewer(connection, _cell, _log);
        Viewer known = _viewers.GetOrAdd(id, viewer);
        if (ReferenceEquals(known, viewer))
        {
            viewer.Lost = connection.ConnectionAborted.Register(() => Remove(id));
        }

        CellState answered = state();
        known.BeginAnew(answered, changes);
        return answered;
    }

    public void Remove(string connectionId)
    {
        if (_viewers.TryRemove(connectionId, out Viewer? viewer))
        {
            viewer.End();
            viewer.Lost.Unregister();
        }
    }

    private LiveNews? Take()
    {
        lock (_gate)
        {
            _telling = _frames.Count + _marks.Count > 0 || _state is not null;
            LiveNews? news = _telling ? new LiveNews([.. _frames], [.. _marks], _state, _lost) : null;
            _frames.Clear();
            _marks.Clear();
            (_state, _lost) = (null, false);
            return news;
        }
    }
}
