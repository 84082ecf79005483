using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Journal;

/// <summary>The one writer of a journal: numbers entries, makes their bytes, hands them to the operating system.</summary>
/// <remarks>
/// While the disk refuses, numbered entries wait as bytes in memory. When memory is full, new ones are counted
/// as not recorded and get no number; the journal itself says so later, with a <see cref="GapEntry"/>.
/// </remarks>
internal sealed class JournalWriter
{
    private readonly Lock _gate = new();
    private readonly EntryCodec _codec = new();
    private readonly ByteSink _content = new();
    private readonly ByteSink _pending = new(64 * 1024);
    private readonly List<(long NextSequence, long FileOffset)> _newMarks = [];
    private readonly List<(long Sequence, Timestamp Time)> _newSnapshots = [];
    private readonly string _folder;
    private readonly CellDefinition _cell;
    private readonly TimeProvider _time;
    private readonly JournalOptions _options;
    private readonly IJournalDisk _disk;
    private readonly SegmentList _segments;
    private readonly JournalSyncer _syncer;
    private readonly Action _fileClosed;
    private Segment? _segment;
    private IJournalFile? _file;
    private Timestamp _created;
    private long _offset;
    private long _written;
    private long _next;
    private int _sinceMark;
    private bool _closeRequested;
    private string _problem = "";
    private Timestamp? _since;
    private long _retryAt;
    private long _lost;
    private (Timestamp First, Timestamp Last, long Count)? _gap;
    private (Timestamp Earliest, Timestamp Latest)? _times; // of the current file; null in one that was begun before

    public JournalWriter(string folder, CellDefinition cell, TimeProvider time, JournalOptions options, IJournalDisk disk,
        SegmentList segments, JournalSyncer syncer, Action fileClosed, Segment? open, Timestamp openCreated, long nextSequence)
    {
        (_folder, _cell, _time, _options, _disk, _segments, _syncer, _fileClosed) = (folder, cell, time, options, disk, segments, syncer, fileClosed);
        (_segment, _created, _offset, _next, _written) = (open, openCreated, open?.Length ?? 0, nextSequence, nextSequence - 1);
        _sinceMark = options.EntriesPerMark; // the scans already in the file are not remembered: begin with a mark
    }

    public JournalHealth Health
    {
        get
        {
            lock (_gate)
            {
                JournalState state = _since is null ? JournalState.Recording : _gap is null ? JournalState.Waiting : JournalState.Losing;
                return new JournalHealth(state, _since is null ? _syncer.Problem ?? "" : _problem, _since, _next - 1 - _written, _lost);
            }
        }
    }

    /// <summary>Appends and returns the first number; zero if the entries could not be recorded.</summary>
    public long Append(ReadOnlySpan<EngineInput> inputs)
    {
        lock (_gate)
        {
            if (inputs.IsEmpty || !MakeRoom(inputs[0].Time, inputs[^1].Time, inputs.Length))
            {
                return 0;
            }

            long first = _next;
            foreach (EngineInput input in inputs)
            {
                MarkIfDue();
                _content.Clear();
                _codec.Write(_content, input);
                Add(input.Time);
            }

            TryWrite();
            return first;
        }
    }

    public long AppendSnapshot(Timestamp time, ReadOnlySpan<byte> state)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(state.Length, Frame.MostContent - 16, nameof(state));
        lock (_gate)
        {
            if (!MakeRoom(time, time, 1))
            {
                return 0;
            }

            MarkIfDue();
            _content.Clear();
            EntryCodec.WriteSnapshot(_content, time, state);
            _newSnapshots.Add((_next, time));
            Add(time);
            TryWrite();
            return _next - 1;
        }
    }

    /// <summary>Closes the current file; the next entry begins a new one.</summary>
    public void CloseSegment()
    {
        lock (_gate)
        {
            _closeRequested = _segment is not null;
        }
    }

    /// <summary>Tries once more to write what waits; true if nothing waits any more.</summary>
    public bool TryWriteNow()
    {
        lock (_gate)
        {
            _retryAt = long.MinValue;
            return TryWrite();
        }
    }

    private Timestamp Now => Timestamp.From(_time.GetUtcNow());

    private bool MakeRoom(Timestamp first, Timestamp last, int count)
    {
        if (_pending.Length >= _options.WaitingBytes && !TryWrite())
        {
            _gap = _gap is { } gap ? (gap.First, last, gap.Count + count) : (first, last, count);
            _lost += count;
            return false;
        }

        BeginSegmentIfDue();
        if (_gap is { } over)
        {
            MarkIfDue();
            _content.Clear();
            EntryCodec.WriteGap(_content, over.First, over.Last, over.Count);
            Add(over.First);
            _gap = null;
        }

        return true;
    }

    private void BeginSegmentIfDue()
    {
        // After a failed flush the kernel may have dropped the pages and call them clean: nothing more goes into that file.
        bool due = _segment is null || _closeRequested || _syncer.TakeFailure() || _offset >= _options.SegmentBytes || Now - _created >= _options.SegmentAge;
        if (!due || _pending.Length > 0)
        {
            return;
        }

        if (_file is not null)
        {
            _syncer.Closed(_file);
        }

        _created = Now;
        _segment = new Segment(Path.Combine(_folder, Segment.NameFor(_next)), _next) { Marks = [], Snapshots = [], Cell = _cell };
        (_file, _offset, _closeRequested, _sinceMark) = (null, 0, false, _options.EntriesPerMark);
        _times = (new Timestamp(long.MaxValue), new Timestamp(long.MinValue));
        SegmentHeader.Write(_pending, _next, _created, _cell);
        _segment.HeaderLength = _pending.Length;
    }

    private void MarkIfDue()
    {
        if (_sinceMark++ < _options.EntriesPerMark)
        {
            return;
        }

        _sinceMark = 1;
        _newMarks.Add((_next, _offset + _pending.Length));
        _content.Clear();
        _codec.WriteMark(_content, _next);
        Frame.Write(_pending, _content.Written, _next);
    }

    private void Add(Timestamp time)
    {
        Frame.Write(_pending, _content.Written, _next++);
        if (_times is { } times)
        {
            _times = (time < times.Earliest ? time : times.Earliest, time > times.Latest ? time : times.Latest);
        }
    }

    private bool TryWrite()
    {
        if (_pending.Length == 0)
        {
            return true;
        }

        if (_since is not null && _time.GetTimestamp() < _retryAt)
        {
            return false;
        }

        try
        {
            if (_file is null)
            {
                _file = _disk.Open(_segment!.Path);
                _syncer.Made();
            }

            _file.Write(_pending.Written, _offset);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            (_problem, _since) = (fault.Message, _since ?? Now);
            _retryAt = _time.GetTimestamp() + (long)(_options.RetryAfter.TotalSeconds * _time.TimestampFrequency);
            return false;
        }

        Segment segment = _segment!;
        bool isNew = _offset == 0;
        _offset += _pending.Length;
        _written = _next - 1;
        _pending.Clear();
        (_since, _problem) = (null, "");
        if (isNew)
        {
            _segments.Add(segment);
            _fileClosed(); // the file before it, that is
        }

        _segments.Publish(segment, _written, _offset, _times, _newMarks, _newSnapshots);
        _newMarks.Clear();
        _newSnapshots.Clear();
        _syncer.Written(_file, _written);
        return true;
    }
}
