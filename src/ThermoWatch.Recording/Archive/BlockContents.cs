using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>Entries that follow one another without a hole, laid out for one block: scans by device, everything else as it stood in the journal.</summary>
internal sealed class BlockContents
{
    /// <summary>In the order of entries: the next of the others. Sources count from one.</summary>
    public const byte OtherSource = 0;

    private const int MostSources = 254;

    private readonly Dictionary<(int Device, int Points), ScanStack> _stacks = [];
    private readonly Dictionary<(int Device, int Points), byte> _numbers = [];
    private readonly List<ScanStack> _sources = [];
    private readonly EntryCodec _entries = new();
    private (int Device, int Points, byte Number) _last;
    private readonly ByteSink _order = new(), _others = new(), _content = new();

    public long FirstSequence { get; private set; }

    public int Count => _order.Length;

    public long LastSequence => FirstSequence + Count - 1;

    public Timestamp Earliest { get; private set; }

    public Timestamp Latest { get; private set; }

    public int Snapshots { get; private set; }

    public IReadOnlyList<ScanStack> Sources => _sources;

    /// <summary>For each entry its source.</summary>
    public ReadOnlySpan<byte> Order => _order.Written;

    /// <summary>The entries that are no scans, each with its length.</summary>
    public ReadOnlySpan<byte> Others => _others.Written;

    /// <summary>Begins anew with the entry of this number.</summary>
    public void Clear(long firstSequence)
    {
        _order.Clear();
        _others.Clear();
        _sources.Clear();
        _numbers.Clear();
        _last = default;
        (FirstSequence, Snapshots, Earliest, Latest) = (firstSequence, 0, new Timestamp(long.MaxValue), new Timestamp(long.MinValue));
    }

    /// <summary>Ends it; nothing is added after this.</summary>
    public void Close()
    {
        foreach (ScanStack source in _sources)
        {
            source.Close();
        }
    }

    /// <summary>Adds the scan that a device has just been read to.</summary>
    public void Add(DeviceMemory scan)
    {
        byte source = SourceOf(scan.Device, scan.Numbers.Length);
        if (source == OtherSource)
        {
            Add(scan.ToScan().Scan);
            return;
        }

        _sources[source - 1].Add(scan);
        Count1(source, new Timestamp(scan.Time));
    }

    /// <summary>Adds an entry that is no scan, byte by byte as it stands in the journal.</summary>
    public void AddOther(ReadOnlySpan<byte> content, Timestamp time, bool isSnapshot)
    {
        _others.VarUInt((ulong)content.Length);
        _others.Bytes(content);
        Snapshots += isSnapshot ? 1 : 0;
        Count1(OtherSource, time);
    }

    /// <summary>Adds any entry.</summary>
    public void Add(JournalEntry entry)
    {
        if (entry is InputEntry { Input: ScanInput { Scan: var scan } })
        {
            Add(scan);
            return;
        }

        _content.Clear();
        switch (entry)
        {
            case InputEntry input:
                _entries.Write(_content, input.Input);
                break;
            case SnapshotEntry snapshot:
                EntryCodec.WriteSnapshot(_content, snapshot.Time, snapshot.State.Span);
                break;
            case GapEntry gap:
                EntryCodec.WriteGap(_content, gap.Time, gap.Last, gap.Count);
                break;
            default:
                throw new ArgumentException($"{entry.GetType().Name} cannot be sealed.", nameof(entry));
        }

        AddOther(_content.Written, entry.Time, entry is SnapshotEntry);
    }

    private void Add(RawScan scan)
    {
        byte source = SourceOf(scan.DeviceIndex, scan.Values.Length);
        if (source == OtherSource)
        {
            _content.Clear();
            _entries.Forget(); // a scan among the others stands for itself
            _entries.Write(_content, new ScanInput(scan));
            AddOther(_content.Written, scan.Time, isSnapshot: false);
            return;
        }

        _sources[source - 1].Add(scan);
        Count1(source, scan.Time);
    }

    private void Count1(byte source, Timestamp time)
    {
        _order.Byte(source);
        Earliest = time < Earliest ? time : Earliest;
        Latest = time > Latest ? time : Latest;
    }

    private byte SourceOf(int device, int points)
    {
        if (_last.Number > 0 && _last.Device == device && _last.Points == points)
        {
            return _last.Number; // most cells have few devices, and a look into a table costs more than laying out a scan
        }

        (int, int) key = (device, points);
        if (_numbers.TryGetValue(key, out byte number) || _sources.Count == MostSources)
        {
            _last = (device, points, number);
            return number;
        }

        if (!_stacks.TryGetValue(key, out ScanStack? stack))
        {
            _stacks.Add(key, stack = new ScanStack(device, points));
        }

        stack.Clear();
        _sources.Add(stack);
        number = (byte)_sources.Count;
        _numbers.Add(key, number);
        return number;
    }
}
