using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Cells;

/// <summary>Frames of the past, made again from the journal by the same conversion that made them live.</summary>
internal static class RefillReader
{
    private const int MostFrames = 2000;

    /// <summary>
    /// How far before the first frame reading begins: what a reading is worth depends on its cold junction, on the filter time
    /// of its signal and on its neighbours, all a few seconds old.
    /// </summary>
    private static readonly TimeSpan LeadIn = TimeSpan.FromSeconds(10);

    public static Refill Read(CellJournal journal, CellDefinition cell, FramePacker packer, long afterSequence)
    {
        var converter = new CellConverter(cell);
        var readings = new Reading[cell.Channels.Count];
        var spikes = new SpikeMarker[cell.Channels.Count];
        List<ScanFrame> frames = [];
        List<ReadingMark> marks = [];
        foreach (JournalEntry entry in journal.ReadFrom(Math.Max(1, afterSequence + 1 - LeadInEntries(cell))))
        {
            // Readings of another wiring than today's cannot be drawn as today's channels.
            if (entry is not InputEntry { Input: ScanInput { Scan: var scan } } || !IsOf(cell, scan))
            {
                continue;
            }

            if (frames.Count == MostFrames)
            {
                return Result(more: true);
            }

            converter.Convert(scan, readings);
            for (int i = 0; i < spikes.Length; i++)
            {
                ChannelDefinition channel = cell.Channels[i];
                bool isIn = channel.Device == cell.Devices[scan.DeviceIndex].Id && channel.Unit == MeasuredUnit.DegreeCelsius;
                if (isIn && spikes[i].Offer(readings[i]) is { } spike && entry.Sequence > afterSequence)
                {
                    marks.Add(LiveMapping.ToLive(cell.Number, channel.Id, spike));
                }
            }

            if (entry.Sequence > afterSequence)
            {
                frames.Add(packer.Pack(entry.Sequence, scan, readings));
            }
        }

        return Result(more: false);

        Refill Result(bool more) => new() { Cell = cell.Number, Frames = [.. frames], Marks = [.. marks], More = more };
    }

    private static bool IsOf(CellDefinition cell, RawScan scan) =>
        scan.DeviceIndex < cell.Devices.Count && scan.Values.Length == cell.Devices[scan.DeviceIndex].Points.Count;

    private static long LeadInEntries(CellDefinition cell) => cell.Devices.Sum(device => (long)Math.Ceiling(LeadIn / device.Period) + 1);
}
