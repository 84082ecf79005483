using Microsoft.AspNetCore.SignalR;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Live;

/// <summary>
/// One browser that watches one cell. It gets what it can take: while its connection takes nothing, frames wait in a short
/// queue, the state only in its newest form. Nobody waits for it; a viewer whose queue ran over is told from where to ask
/// for what it missed.
/// </summary>
internal sealed class Viewer
{
    // Two seconds at 10 Hz: longer than any hiccup worth hiding, short enough that a stalled page costs nothing.
    private const int Waiting = 20;
    private readonly HubConnectionContext _connection;
    private readonly int _cell;
    private readonly ILogger _log;
    private readonly Lock _gate = new();
    private readonly Queue<ScanFrame> _frames = new();
    private readonly Queue<ReadingMark> _marks = new();
    private CellState? _state;
    private CellState? _since;
    private long _lastQueued;
    private long? _missedAfter;
    private bool _sending;
    private bool _gone;

    /// <param name="connection">Where to send.</param>
    /// <param name="cell">What it watches.</param>
    /// <param name="since">The state that it was answered, if it wants changes of that; null: whole states.</param>
    /// <param name="log">Where a mistake of ours is told.</param>
    public Viewer(HubConnectionContext connection, int cell, CellState? since, ILogger log)
    {
        _connection = connection;
        _cell = cell;
        _since = since;
        _log = log;
    }

    /// <summary>Sends at once what the connection takes at once, which is nearly always; else keeps it until it does. Never waits.</summary>
    public void Offer(LiveNews news)
    {
        HubPacket? packet = Next(news);
        while (packet is not null)
        {
            ValueTask sent = WriteAsync(packet);
            if (!sent.IsCompletedSuccessfully)
            {
                _ = SendKeptAsync(sent);
                return;
            }

            packet = TakeKept();
        }
    }

    /// <summary>It has been answered with a state again: what follows are changes of that one; null: whole states.</summary>
    public void BeginAnew(CellState? since)
    {
        lock (_gate)
        {
            _since = since;
        }
    }

    /// <summary>Nothing more is sent.</summary>
    public void End()
    {
        lock (_gate)
        {
            _gone = true;
        }
    }

    // What cannot be put into bytes fails in here too, not in the loop of the cell that offers it.
    private async ValueTask WriteAsync(HubPacket packet) => await _connection.WriteAsync(packet.In(_connection.Protocol));

    private async Task SendKeptAsync(ValueTask before)
    {
        try
        {
            await before;
            while (TakeKept() is { } packet)
            {
                await WriteAsync(packet);
            }
        }
        catch (Exception e)
        {
            // A connection that ends is no error of a write. This is a mistake of ours: the page is better off connecting anew than seeing nothing come.
            Log.ViewerFault(_log, _cell, e);
            End();
            _connection.Abort();
        }
    }

    /// <summary>What to send now; null, and kept if it must be, while the connection is still taking what came before.</summary>
    private HubPacket? Next(LiveNews news)
    {
        lock (_gate)
        {
            if (_sending && !_gone)
            {
                Keep(news);
            }

            HubPacket? packet = _sending || _gone ? null : PacketOf(news);
            _sending |= packet is not null;
            return packet;
        }
    }

    private HubPacket? PacketOf(LiveNews news)
    {
        _lastQueued = news.Frames.Length > 0 ? news.Frames[^1].Seq : _lastQueued;
        if (news.State is { } state && _since is null)
        {
            return news.Whole;
        }

        if (news.State is { } now && _since is { } since && IsNew(now))
        {
            _since = now;
            return news.Since(since);
        }

        return news.Frames.Length + news.Marks.Length > 0 ? news.Readings : null;
    }

    /// <summary>A state that was made before the one it was answered with says nothing new.</summary>
    private bool IsNew(CellState state) => state.Seq >= _since!.Seq && !ReferenceEquals(state, _since);

    private void Keep(LiveNews news)
    {
        foreach (ScanFrame frame in news.Frames)
        {
            if (_missedAfter is null && _frames.Count < Waiting)
            {
                _frames.Enqueue(frame);
                _lastQueued = frame.Seq;
            }
            else
            {
                _missedAfter ??= _lastQueued;
            }
        }

        foreach (ReadingMark mark in news.Marks)
        {
            if (_marks.Count < Waiting)
            {
                _marks.Enqueue(mark);
            }
            else
            {
                _missedAfter ??= _lastQueued; // what it asks for then carries the marks of the last seconds too
            }
        }

        _state = news.State ?? _state;
    }

    /// <summary>All that was kept, as one packet; null, and the connection is free again, if that is nothing.</summary>
    private HubPacket? TakeKept()
    {
        lock (_gate)
        {
            CellState? whole = _since is null ? _state : null;
            CellChange? change = null;
            if (_state is { } now && _since is { } since && IsNew(now))
            {
                change = StateChanges.Once(since, now);
                _since = now;
            }

            bool nothing = _frames.Count + _marks.Count == 0 && _missedAfter is null && whole is null && change is null;
            HubPacket? packet = nothing || _gone ? null : new HubPacket(LiveNews.Calls(_frames, _marks, _missedAfter is { } after ? (_cell, after) : null, whole, change));
            _frames.Clear();
            _marks.Clear();
            _missedAfter = null;
            _state = null;
            _sending = packet is not null;
            return packet;
        }
    }
}
