using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>When a master may speak on a serial line: after the silence between frames, and not while a late reply may still come.</summary>
/// <remarks>
/// A serial reply bears no number, so a late one looks like the answer to the same question asked again. A unit that did not answer
/// in time is therefore not asked again for as long as the time-out was once more, or until its late reply has passed.
/// Other units may be asked meanwhile: a late reply then shows itself by its unit.
/// </remarks>
internal sealed class LineSilence(ILink link, TimeProvider time, TimeSpan frameGap, LineEar ear, ModbusCounters counters)
{
    /// <summary>Bytes may come in pieces so far apart: USB adapters deliver in blocks of up to 16 ms.</summary>
    private static readonly TimeSpan AdapterBlock = TimeSpan.FromMilliseconds(20);

    /// <summary>A line on which somebody talks longer without end is given up: no frame of any device lasts so long.</summary>
    private static readonly TimeSpan LongestBabble = TimeSpan.FromSeconds(3);

    private readonly byte[] _heard = new byte[Rtu.MaxLength];
    private readonly long[] _lateUntil = new long[256];
    private long _lastByteAt;

    /// <summary>Bytes went out or came in at this moment.</summary>
    public void Noted(long at) => _lastByteAt = at;

    /// <summary>A new connection: nothing of the old one can come.</summary>
    public void Reset() => Array.Clear(_lateUntil);

    /// <summary>A unit owes an answer, which may come until then.</summary>
    public void Expect(byte unit, long until) => _lateUntil[unit] = until;

    /// <summary>Whether this is the late answer of a unit; it is then no longer expected.</summary>
    public bool IsLateReplyOf(byte unit, long now)
    {
        bool late = _lateUntil[unit] > now;
        _lateUntil[unit] = 0;
        if (late) counters.Unmatched++;
        return late;
    }

    /// <summary>Waits until a frame may be sent to a unit, and drops all that comes meanwhile.</summary>
    public LinkResult Await(byte unit)
    {
        DropWaiting();
        long began = time.GetTimestamp();
        int count = 0;
        TimeSpan gap = frameGap;
        while (true)
        {
            long now = time.GetTimestamp();
            TimeSpan left = gap - time.GetElapsedTime(_lastByteAt, now);
            if (_lateUntil[unit] != 0)
            {
                TimeSpan late = time.GetElapsedTime(now, _lateUntil[unit]);
                if (late > left) left = late;
            }

            if (left <= TimeSpan.Zero) return LinkResult.Done();
            LinkResult read = link.Read(_heard.AsSpan(count), left);
            if (read.Status == LinkStatus.TimedOut)
            {
                count = 0;
                continue;
            }

            if (read.Status != LinkStatus.Done) return read;
            _lastByteAt = time.GetTimestamp();
            if (time.GetElapsedTime(began, _lastByteAt) > LongestBabble) return Babble();
            Drop(ref count, count + read.Count);
            gap = count == 0 || frameGap > AdapterBlock ? frameGap : AdapterBlock;
        }
    }

    // What came while nobody was asked: a late answer, or somebody else's business.
    private void DropWaiting()
    {
        int taken = 1;
        for (int i = 0; i < 64 && taken > 0; i++)
        {
            taken = link.TakeInput(_heard);
            if (taken > 0) Judge(_heard.AsSpan(0, taken));
        }
    }

    private void Drop(ref int count, int received)
    {
        Rtu frame = Judge(_heard.AsSpan(0, received));
        count = frame.Status == RtuStatus.NeedMore && received < _heard.Length ? received : 0;
    }

    private Rtu Judge(ReadOnlySpan<byte> heard)
    {
        Rtu frame = Rtu.Parse(heard);
        if (frame.Status != RtuStatus.Whole)
        {
            ear.Hear(heard);
        }
        else if (!IsLateReplyOf(frame.Unit, time.GetTimestamp()))
        {
            counters.Unmatched++;
            ear.HearReply(frame.Unit);
        }

        return frame;
    }

    private LinkResult Babble()
    {
        link.Close();
        return LinkResult.Closed($"Somebody talks on {link.Name} without a pause. Check the baud rate, and that no second master and no device that talks unasked is on the line.");
    }
}
