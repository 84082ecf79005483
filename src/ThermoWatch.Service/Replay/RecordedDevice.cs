using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Replay;

/// <summary>A device of our own record as a recording: raw numbers and qualities as they were read, at the intervals of then.</summary>
/// <param name="Folder">Data folder of a service, or a backup of one. It is only read.</param>
/// <param name="Cell">Number of the cell in it.</param>
/// <param name="Device">Id of the device.</param>
/// <param name="From">Earliest time wanted; null: from the record's beginning.</param>
/// <param name="To">Latest time wanted; null: up to its end.</param>
internal sealed record RecordedDevice(string Folder, int Cell, string Device, Timestamp? From, Timestamp? To) : IRecording
{
    public string Name => $"{Folder} (cell {Cell}, {Device})";

    public RecordingOpening Open(IReadOnlyList<string> columns)
    {
        string folder = DataFolder.JournalPathIn(Folder, Cell);
        if (!Directory.Exists(folder))
        {
            return new(null, $"{Folder} holds no record of cell {Cell}. Name the data folder of a service, or a backup of it, and a cell that is in it.");
        }

        try
        {
            RecordedJournal journal = RecordedJournal.Open(folder);
            return Problem(journal.Newest, columns) is { } problem ? new(null, problem) : new(Rows(journal, columns), null);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new(null, $"The record in {Folder} cannot be read: {e.Message}");
        }
    }

    private string? Problem(CellDefinition? cell, IReadOnlyList<string> columns)
    {
        if (cell is null)
        {
            return $"The record of cell {Cell} in {Folder} is empty, or its beginning cannot be read.";
        }

        if (cell.Devices.FirstOrDefault(d => d.Id == Device) is not { } device)
        {
            return $"Cell {Cell} of {Folder} has no device \"{Device}\". Use one of: {string.Join(", ", cell.Devices.Select(d => d.Id))}.";
        }

        return columns.FirstOrDefault(c => !device.Points.Contains(c)) is { } unknown
            ? $"Device \"{Device}\" of {Folder} has no point \"{unknown}\". Use one of: {string.Join(", ", device.Points)}."
            : null;
    }

    private IEnumerable<RecordedRow> Rows(RecordedJournal journal, IReadOnlyList<string> columns)
    {
        Timestamp? first = null;
        foreach (RecordedScans scans in journal.ReadDevice(Device, From ?? new Timestamp(0), To ?? new Timestamp(long.MaxValue)))
        {
            int[] points = [.. columns.Select(c => scans.Device.Points.ToList().IndexOf(c))];
            ScanColumns read = scans.Columns;
            first ??= read.Times[0];
            for (int i = 0; i < read.Count; i++)
            {
                double[] values = new double[points.Length];
                var qualities = new SignalQuality[points.Length];
                for (int point = 0; point < points.Length; point++)
                {
                    // Before it was wired there is nothing to give.
                    bool there = points[point] >= 0;
                    values[point] = there ? read.Values[points[point]][i] : double.NaN;
                    qualities[point] = there ? read.QualityAt(points[point], i) : SignalQuality.Bad(QualityReason.NoReading);
                }

                yield return new RecordedRow((read.Times[i] - first.Value).TotalSeconds, values, qualities);
            }
        }
    }
}
