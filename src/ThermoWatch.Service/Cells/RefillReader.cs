using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Cells;

/// <summary>Frames of the past, made again from the journal by the same conversion that made them live.</summary>
internal static class RefillReader
{
    private const int MostFrames = 2000;

    public static Refill Read(CellJournal journal, CellDefinition cell, FramePacker packer, long afterSequence)
    {
        var converter = new CellConverter(cell);
        var readings = new Reading[cell.Channels.Count];
        List<ScanFrame> frames = [];
        foreach (JournalEntry entry in journal.ReadFrom(Math.Max(1, afterSequence + 1)))
        {
            if (entry is not InputEntry { Input: ScanInput { Scan: var scan } })
            {
                continue;
            }

            if (frames.Count == MostFrames)
            {
                return new Refill { Cell = cell.Number, Frames = [.. frames], More = true };
            }

            converter.Convert(scan, readings);
            frames.Add(packer.Pack(entry.Sequence, scan, readings));
        }

        return new Refill { Cell = cell.Number, Frames = [.. frames], More = false };
    }
}
