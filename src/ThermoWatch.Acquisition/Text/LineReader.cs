using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Text;

/// <summary>Cuts what comes on a link into lines.</summary>
/// <param name="link">The link.</param>
/// <param name="time">Clock of the deadlines.</param>
internal sealed class LineReader(ILink link, TimeProvider time)
{
    private readonly byte[] _buffer = new byte[2 * TextLine.MaxLength];
    private int _start, _end;
    private bool _inTheMiddle;

    /// <summary>When the bytes of the last line came in.</summary>
    public long ReceivedAt { get; private set; }

    /// <summary>Forgets what has come.</summary>
    /// <param name="inTheMiddle">Whether what comes next may be the rest of a line whose beginning is lost.</param>
    public void Restart(bool inTheMiddle)
    {
        _start = _end = 0;
        _inTheMiddle = inTheMiddle;
    }

    /// <summary>Waits for a line; it is valid until the next call. Empty lines are skipped: they are the second half of CR LF.</summary>
    public LinkResult ReadLine(TimeSpan timeout, out ReadOnlySpan<byte> line)
    {
        long began = time.GetTimestamp();
        line = default;
        while (true)
        {
            if (NextLine(out line)) return LinkResult.Done(line.Length);
            if (_start > 0)
            {
                _buffer.AsSpan(_start, _end - _start).CopyTo(_buffer);
                (_start, _end) = (0, _end - _start);
            }

            if (_end == _buffer.Length)
            {
                // No end in sight: hand over what is there as the nonsense it is, and begin again after the next end.
                line = _buffer;
                Restart(inTheMiddle: true);
                return LinkResult.Done(line.Length);
            }

            TimeSpan left = timeout - time.GetElapsedTime(began);
            if (left <= TimeSpan.Zero) return LinkResult.TimedOut;
            LinkResult read = link.Read(_buffer.AsSpan(_end), left);
            if (read.Status != LinkStatus.Done) return read;
            _end += read.Count;
            ReceivedAt = time.GetTimestamp();
        }
    }

    private bool NextLine(out ReadOnlySpan<byte> line)
    {
        while (true)
        {
            line = _buffer.AsSpan(_start, _end - _start);
            int length = line.IndexOfAny((byte)'\r', (byte)'\n');
            if (length < 0) return false;
            line = line[..length];
            _start += length + 1;
            bool cut = _inTheMiddle;
            _inTheMiddle = false;
            if (!cut && length > 0) return true;
        }
    }
}
