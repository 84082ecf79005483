using System.Collections.Frozen;
using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Journal;

/// <summary>Entries to content bytes and back. No file, no clock; bad bytes are a null, not an exception.</summary>
internal sealed class EntryCodec
{
    /// <summary>Inputs by the name of their type: a new one in the engine is journalled without a change here.</summary>
    private static readonly FrozenDictionary<string, Type> InputTypes = typeof(EngineInput).Assembly.GetTypes()
        .Where(type => type.IsSubclassOf(typeof(EngineInput)) && !type.IsAbstract)
        .ToFrozenDictionary(type => type.Name);

    private readonly ScanCodec _scans = new();

    /// <summary>Eight bytes that a reader looks for behind damage.</summary>
    public static ReadOnlySpan<byte> MarkMagic => [0xF5, (byte)'T', (byte)'W', 0x9D, (byte)'m', (byte)'a', (byte)'r', 0xFA];

    /// <summary>Length of a mark's content.</summary>
    public const int MarkLength = 17;

    /// <summary>Forgets what scans lean on, as both sides do at a mark and behind damage.</summary>
    public void Forget() => _scans.Forget();

    public void Write(ByteSink sink, EngineInput input)
    {
        switch (input)
        {
            case ScanInput scan:
                _scans.Write(sink, scan.Scan);
                break;
            case TickInput:
                Begin(sink, EntryKind.Tick, input.Time);
                break;
            case DeviceStateInput state:
                Begin(sink, EntryKind.DeviceState, state.Time);
                sink.VarUInt((ulong)state.DeviceIndex);
                sink.Byte((byte)state.State);
                sink.Text(state.Reason);
                break;
            default:
                Begin(sink, EntryKind.Json, input.Time);
                sink.Text(input.GetType().Name);
                sink.Bytes(JsonSerializer.SerializeToUtf8Bytes(input, input.GetType(), RecordJson.Options));
                break;
        }
    }

    public static void WriteSnapshot(ByteSink sink, Timestamp time, ReadOnlySpan<byte> state)
    {
        Begin(sink, EntryKind.Snapshot, time);
        sink.Bytes(state);
    }

    public static void WriteGap(ByteSink sink, Timestamp first, Timestamp last, long count)
    {
        Begin(sink, EntryKind.Gap, first);
        sink.Int64(last.UtcTicks);
        sink.VarUInt((ulong)count);
    }

    /// <summary>Writes a mark: the number of the entry that follows it.</summary>
    public void WriteMark(ByteSink sink, long nextSequence)
    {
        sink.Byte((byte)EntryKind.Mark);
        sink.Bytes(MarkMagic);
        sink.Int64(nextSequence);
        Forget();
    }

    /// <summary>The number of the next entry, if this content is a mark.</summary>
    public static bool IsMark(ReadOnlySpan<byte> content, out long nextSequence)
    {
        nextSequence = 0;
        if (content.Length != MarkLength || content[0] != (byte)EntryKind.Mark || !content[1..9].SequenceEqual(MarkMagic))
        {
            return false;
        }

        nextSequence = BitConverter.ToInt64(content[9..]);
        return true;
    }

    /// <summary>The entry that this content holds; null if it cannot be understood, or leans on a scan that is missing.</summary>
    public JournalEntry? Read(ReadOnlySpan<byte> content, long sequence)
    {
        var source = new ByteSource(content);
        var kind = (EntryKind)source.Byte();
        if (kind is EntryKind.FullScan or EntryKind.ScanStep)
        {
            return _scans.Read(kind, ref source) is { } scan ? new InputEntry(sequence, scan.ToScan()) : null;
        }

        var time = new Timestamp(source.Int64());
        JournalEntry? entry = kind switch
        {
            EntryKind.Tick => new InputEntry(sequence, new TickInput(time)),
            EntryKind.DeviceState => new InputEntry(sequence, ReadDeviceState(ref source, time)),
            EntryKind.Json => ReadJson(ref source) is { } input ? new InputEntry(sequence, input) : null,
            EntryKind.Snapshot => new SnapshotEntry(sequence, time, source.All().ToArray()),
            EntryKind.Gap => new GapEntry(sequence, time, new Timestamp(source.Int64()), unchecked((long)source.VarUInt())),
            _ => null,
        };
        return source.Failed || source.Left > 0 ? null : entry;
    }

    /// <summary>Lays the entry that this content holds out for sealing; false as in <see cref="Read"/>.</summary>
    public bool TryReadInto(BlockContents contents, ReadOnlySpan<byte> content, long sequence)
    {
        var kind = (EntryKind)content[0];
        if (kind is EntryKind.FullScan or EntryKind.ScanStep)
        {
            var source = new ByteSource(content[1..]);
            if (_scans.Read(kind, ref source) is not { } scan)
            {
                return false;
            }

            contents.Add(scan);
            return true;
        }

        if (Read(content, sequence) is not { } entry)
        {
            return false;
        }

        contents.AddOther(content, entry.Time, entry is SnapshotEntry);
        return true;
    }

    private static void Begin(ByteSink sink, EntryKind kind, Timestamp time)
    {
        sink.Byte((byte)kind);
        sink.Int64(time.UtcTicks);
    }

    private static DeviceStateInput ReadDeviceState(ref ByteSource source, Timestamp time)
    {
        ulong device = source.VarUInt();
        var state = (DeviceState)source.Byte();
        string reason = source.Text();
        if (device > int.MaxValue)
        {
            source.Fail();
            device = 0;
        }

        return new DeviceStateInput(time, (int)device, state, reason);
    }

    private static EngineInput? ReadJson(ref ByteSource source)
    {
        if (!InputTypes.TryGetValue(source.Text(), out Type? type))
        {
            return null;
        }

        try
        {
            return (EngineInput?)JsonSerializer.Deserialize(source.All(), type, RecordJson.Options);
        }
        catch (Exception fault) when (fault is JsonException or NotSupportedException or InvalidOperationException or FormatException or ArgumentException)
        {
            return null; // written by a version that knew this input otherwise: the caller says which entry
        }
    }
}
