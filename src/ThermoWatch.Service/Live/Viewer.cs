using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Protocol;
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
    private CellState? _told;
    private bool _changes;
    private long _lastQueued;
    private long? _missedAfter;
    private bool _sending;
    private bool _gone;

    public Viewer(HubConnectionContext connection, int cell, ILogger log)
    {
        _connection = connection;
        _cell = cell;
        _log = log;
    }

    /// <summary>What is to happen when its connection is lost.</summary>
    public CancellationTokenRegistration Lost { get; set; }

    /// <summary>It has been answered with a state: what follows is what comes after that one.</summary>
    /// <param name="answered">That state.</param>
    /// <param name="changes">Whether it wants only what changes; else whole states.</param>
    public void BeginAnew(CellState answered, bool changes)
    {
        lock (_gate)
        {
            _lastQueued = _lastQueued == 0 ? answered.Seq : _lastQueued;
            (_told, _changes) = (answered, changes);
        }
    }

    /// <summary>Sends at once what the connection takes at once, which is nearly always; else keeps it until it does. Never waits. One caller at a time.</summary>
    public void Offer(LiveNews news)
    {
        try
        {
            if (Next(news) is { } packet)
            {
                ValueTask sent = WriteAsync(packet);
                if (sent.IsCompletedSuccessfully)
                {
                    Free();
                }
                else
                {
                    _ = SendKeptAsync(sent);
                }
            }
        }
        catch (Exception e)
        {
            Fail(e);
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

    private void Free()
    {
        lock (_gate)
        {
            _sending = false;
        }
    }

    private ValueTask WriteAsync(HubPacket packet) => _connection.WriteAsync(packet.In(_connection.Protocol));

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
            Fail(e);
        }
    }

    /// <summary>A write does not fail because its connection ends. This is a mistake of ours: the page is better off connecting anew than seeing nothing come.</summary>
    private void Fail(Exception fault)
    {
        Log.ViewerFault(_log, _cell, fault);
        End();
        _connection.Abort();
    }

    /// <summary>What to send now; null, and kept if it must be, while the connection is still taking what came before.</summary>
    private HubPacket? Next(LiveNews news)
    {
        lock (_gate)
        {
            if (_gone)
            {
                return null;
            }

            if (_sending || news.Lost)
            {
                Keep(news);
                return _sending ? null : Kept();
            }

            _lastQueued = news.Frames.Length > 0 ? news.Frames[^1].Seq : _lastQueued;
            HubPacket? packet = news.Readings;
            if (news.State is { } now && IsNew(now))
            {
                packet = _changes ? news.Since(_told!) : news.Whole;
                _told = now;
            }

            _sending = packet is not null;
            return packet;
        }
    }

    /// <summary>A state that was made before the one it is answered with says nothing new.</summary>
    private bool IsNew(CellState state) => _told is { } told && state.Seq >= told.Seq && !ReferenceEquals(state, told);

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

        int room = Waiting - _marks.Count;
        if (news.Lost || news.Marks.Length > room)
        {
            _missedAfter ??= _lastQueued; // what it asks for then carries the marks of the last seconds too
        }

        foreach (ReadingMark mark in news.Marks.Take(room))
        {
            _marks.Enqueue(mark);
        }

        _state = news.State ?? _state;
    }

    private HubPacket? TakeKept()
    {
        lock (_gate)
        {
            return Kept();
        }
    }

    /// <summary>All that was kept, as one packet; null, and the connection is free again, if that is nothing.</summary>
    private HubPacket? Kept()
    {
        List<InvocationMessage> calls = [.. LiveNews.Calls(_frames, _marks)];
        if (_missedAfter is { } after)
        {
            calls.Add(LiveCalls.Missed(_cell, after));
        }

        if (_state is { } now && IsNew(now))
        {
            calls.Add(_changes ? StateChanges.Once(_told!, now).ToCall() : now.ToCall());
            _told = now;
        }

        _frames.Clear();
        _marks.Clear();
        (_missedAfter, _state) = (null, null);
        _sending = calls.Count > 0 && !_gone;
        return _sending ? new HubPacket(calls) : null;
    }
}
