using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Replay;

/// <summary>One row of a recording.</summary>
/// <param name="Seconds">From the recording's first row; rising.</param>
/// <param name="Values">One a point, unscaled; NaN where the recording has none.</param>
/// <param name="Qualities">One a point.</param>
public readonly record struct RecordedRow(double Seconds, double[] Values, SignalQuality[] Qualities);

/// <summary>A recording that was opened.</summary>
/// <param name="Rows">Its rows, read while they are given; null if it cannot be replayed.</param>
/// <param name="Problem">Why it cannot, and what to do, in one sentence; null if it can.</param>
public sealed record RecordingOpening(IEnumerable<RecordedRow>? Rows, string? Problem);

/// <summary>Something that was recorded and can be read again.</summary>
public interface IRecording
{
    /// <summary>For people: where it lies, and what of it.</summary>
    string Name { get; }

    /// <summary>Opens it at its beginning; may be done again and again.</summary>
    /// <param name="columns">Names of the columns wanted, in the order in which rows give them.</param>
    RecordingOpening Open(IReadOnlyList<string> columns);
}

/// <summary>A curve file (CSV) as a recording: first column <c>time_s</c> in seconds from its start, an empty field where a reading is missing.</summary>
/// <param name="Path">The file.</param>
public sealed record CurveFile(string Path) : IRecording
{
    /// <inheritdoc/>
    public string Name => Path;

    /// <inheritdoc/>
    public RecordingOpening Open(IReadOnlyList<string> columns)
    {
        try
        {
            (IReadOnlyList<RecordedRow> rows, string? wrong) = CurveRows.Parse(File.ReadLines(Path), columns);
            return wrong is null ? new(rows, null) : new(null, $"{Path} cannot be replayed: {wrong}. Correct the file.");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new(null, $"{Path} cannot be read. Check that the file is there and may be read.");
        }
    }
}
