using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Archive;

/// <summary>Whether entries are the same bit for bit: asked before the first copy is deleted.</summary>
internal static class EntryComparison
{
    public static bool Same(IReadOnlyList<JournalEntry> a, IReadOnlyList<JournalEntry> b)
    {
        if (a.Count != b.Count)
        {
            return false;
        }

        var codec = new EntryCodec();
        ByteSink first = new(), second = new();
        for (int i = 0; i < a.Count; i++)
        {
            if (a[i].Sequence != b[i].Sequence || !Same(a[i], b[i], codec, first, second))
            {
                return false;
            }
        }

        return true;
    }

    private static bool Same(JournalEntry a, JournalEntry b, EntryCodec codec, ByteSink first, ByteSink second)
    {
        if (a is InputEntry { Input: ScanInput { Scan: var x } } && b is InputEntry { Input: ScanInput { Scan: var y } })
        {
            if (x.DeviceIndex != y.DeviceIndex || x.Time != y.Time || !x.Qualities.AsSpan().SequenceEqual(y.Qualities) || x.Values.Length != y.Values.Length)
            {
                return false;
            }

            for (int i = 0; i < x.Values.Length; i++)
            {
                if (BitConverter.DoubleToInt64Bits(x.Values[i]) != BitConverter.DoubleToInt64Bits(y.Values[i]))
                {
                    return false;
                }
            }

            return true;
        }

        first.Clear();
        second.Clear();
        return Write(a, codec, first) && Write(b, codec, second) && first.Written.SequenceEqual(second.Written);
    }

    private static bool Write(JournalEntry entry, EntryCodec codec, ByteSink sink)
    {
        codec.Forget();
        switch (entry)
        {
            case InputEntry input:
                codec.Write(sink, input.Input);
                return true;
            case SnapshotEntry snapshot:
                EntryCodec.WriteSnapshot(sink, snapshot.Time, snapshot.State.Span);
                return true;
            case GapEntry gap:
                EntryCodec.WriteGap(sink, gap.Time, gap.Last, gap.Count);
                return true;
            default:
                return false;
        }
    }
}
