using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>Reads a span of time as columns, whether it is sealed yet or not.</summary>
internal sealed class ScanReader(SegmentList segments, JournalReader journal)
{
    /// <summary>The scans of a span, device by device, piece by piece in order of recording. What cannot be read is told, not thrown.</summary>
    public IEnumerable<ScanColumns> Read(Timestamp from, Timestamp to, Action<string>? damaged)
    {
        foreach (Segment piece in segments.All())
        {
            if (!segments.MayHold(piece, from, to))
            {
                continue;
            }

            foreach (ScanColumns columns in ReadPiece(piece, from, to, damaged))
            {
                yield return columns;
            }
        }
    }

    /// <summary>The same of one piece.</summary>
    public IEnumerable<ScanColumns> ReadPiece(Segment piece, Timestamp from, Timestamp to, Action<string>? damaged)
    {
        string? problem = null;
        IEnumerable<ScanColumns>? columns = piece.Sealed is { } block ? block.ReadColumns(out problem) : FromEntries(piece, damaged);
        if (columns is null)
        {
            if (problem != SealedBlock.Removed)
            {
                damaged?.Invoke(problem!);
            }

            yield break;
        }

        foreach (ScanColumns whole in columns)
        {
            foreach (ScanColumns part in Cut(whole, from, to))
            {
                yield return part;
            }
        }
    }

    private IEnumerable<ScanColumns> FromEntries(Segment piece, Action<string>? damaged)
    {
        Dictionary<(int Device, int Points), List<RawScan>> sources = [];
        foreach (JournalEntry entry in journal.ReadFrom(piece.FirstSequence).TakeWhile(entry => entry.Sequence <= piece.LastSequence))
        {
            if (entry is DamagedEntries damage)
            {
                damaged?.Invoke(damage.Reason);
            }
            else if (entry is InputEntry { Input: ScanInput { Scan: var scan } })
            {
                (int, int) key = (scan.DeviceIndex, scan.Values.Length);
                if (!sources.TryGetValue(key, out List<RawScan>? scans))
                {
                    sources.Add(key, scans = []);
                }

                scans.Add(scan);
            }
        }

        return sources.Values.Select(Transpose);
    }

    private static ScanColumns Transpose(List<RawScan> scans)
    {
        int points = scans[0].Values.Length;
        var values = new double[points][];
        var qualities = new QualityRun[points][];
        for (int point = 0; point < points; point++)
        {
            values[point] = [.. scans.Select(scan => scan.Values[point])];
            List<QualityRun> runs = [];
            foreach (RawScan scan in scans)
            {
                SignalQuality quality = scan.Qualities[point];
                if (runs is [.., var last] && last.Quality == quality)
                {
                    runs[^1] = last with { Count = last.Count + 1 };
                }
                else
                {
                    runs.Add(new QualityRun(quality, 1));
                }
            }

            qualities[point] = [.. runs];
        }

        return new ScanColumns(scans[0].DeviceIndex, [.. scans.Select(scan => scan.Time)], values, qualities);
    }

    /// <summary>The part within a span; more than one where a clock went back.</summary>
    private static IEnumerable<ScanColumns> Cut(ScanColumns whole, Timestamp from, Timestamp to)
    {
        for (int first = 0; first < whole.Count;)
        {
            if (whole.Times[first] < from || whole.Times[first] > to)
            {
                first++;
                continue;
            }

            int end = first + 1;
            while (end < whole.Count && whole.Times[end] >= from && whole.Times[end] <= to)
            {
                end++;
            }

            yield return first == 0 && end == whole.Count ? whole : Part(whole, first, end);
            first = end;
        }
    }

    private static ScanColumns Part(ScanColumns whole, int first, int end)
    {
        Range range = first..end;
        return new ScanColumns(whole.DeviceIndex, whole.Times[range], Array.ConvertAll(whole.Values, column => column[range]),
            Array.ConvertAll(whole.Qualities, runs => Cut(runs, first, end - first)));
    }

    private static QualityRun[] Cut(QualityRun[] runs, int skip, int take)
    {
        List<QualityRun> part = [];
        foreach (QualityRun run in runs)
        {
            int skipped = Math.Min(skip, run.Count);
            int taken = Math.Min(take, run.Count - skipped);
            (skip, take) = (skip - skipped, take - taken);
            if (taken > 0)
            {
                part.Add(run with { Count = taken });
            }
        }

        return [.. part];
    }
}
