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

    /// <param name="journal">The record.</param>
    /// <param name="cell">The cell as it is wired.</param>
    /// <param name="packer">Packs its frames.</param>
    /// <param name="afterSequence">The last frame that the viewer has.</param>
    /// <param name="detached">Where thermocouples had come off in a span: their frames were good when they were first sent, and nobody will say it again.</param>
    public static Refill Read(
        CellJournal journal, CellDefinition cell, FramePacker packer, long afterSequence, Func<Timestamp, Timestamp, IReadOnlyList<GapSpan>> detached)
    {
        var converter = new CellConverter(cell);
        var readings = new Reading[cell.Channels.Count];
        SpikeMarker[] spikes = [.. cell.Channels.Select(channel => new SpikeMarker(channel))];
        List<ScanFrame> frames = [];
        List<ReadingMark> marks = [];
        (Timestamp first, Timestamp last) = (new Timestamp(long.MaxValue), new Timestamp(0));
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
                bool isIn = channel.Device == cell.Devices[scan.DeviceIndex].Id;
                if (isIn && spikes[i].Offer(readings[i]) is { } spike && entry.Sequence > afterSequence)
                {
                    marks.Add(LiveMapping.ToLive(cell.Number, channel.Id, spike));
                }
            }

            if (entry.Sequence > afterSequence)
            {
                frames.Add(packer.Pack(entry.Sequence, scan, readings));
                (first, last) = (scan.Time < first ? scan.Time : first, scan.Time > last ? scan.Time : last);
            }
        }

        return Result(more: false);

        Refill Result(bool more)
        {
            foreach (GapSpan span in frames.Count > 0 ? detached(first, last) : [])
            {
                if (Mark(cell, packer, frames, span) is { } mark)
                {
                    marks.Add(mark);
                }
            }

            return new() { Cell = cell.Number, Frames = [.. frames], Marks = [.. marks], More = more };
        }
    }

    /// <summary>Calls what a channel read after its last sure reading uncertain, with one mark for all of it; null if no frame has any.</summary>
    private static ReadingMark? Mark(CellDefinition cell, FramePacker packer, List<ScanFrame> frames, GapSpan span)
    {
        int channel = cell.Channels.ToList().FindIndex(c => c.Id == span.ChannelId);
        double sure = span.Start.ToUnixMilliseconds(), end = span.End?.ToUnixMilliseconds() ?? double.PositiveInfinity;
        (double First, double Last)? marked = null;
        foreach (ScanFrame frame in channel < 0 ? [] : frames)
        {
            if (frame.T > sure && frame.T <= end && packer.Doubt(frame, channel))
            {
                marked = (marked?.First ?? frame.T, frame.T);
            }
        }

        return marked is not var (first, last) ? null
            : new ReadingMark { Cell = cell.Number, Channel = span.ChannelId, T = first, To = last, Quality = SignalQuality.Uncertain(span.Reason).ToString() };
    }

    private static bool IsOf(CellDefinition cell, RawScan scan) =>
        scan.DeviceIndex < cell.Devices.Count && scan.Values.Length == cell.Devices[scan.DeviceIndex].Points.Count;

    private static long LeadInEntries(CellDefinition cell) => cell.Devices.Sum(device => (long)Math.Ceiling(LeadIn / device.Period) + 1);
}
