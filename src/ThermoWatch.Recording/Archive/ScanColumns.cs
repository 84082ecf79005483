using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Archive;

/// <summary>Scans of one device, column by column: what curves, figures and exports read.</summary>
/// <param name="DeviceIndex">Place of the device in the cell's list.</param>
/// <param name="Times">Time of each scan, in the order of recording.</param>
/// <param name="Values">For each point a column of raw numbers as long as the times; NaN where there is none.</param>
/// <param name="Qualities">For each point its qualities as runs that cover the column.</param>
public sealed record ScanColumns(int DeviceIndex, Timestamp[] Times, double[][] Values, QualityRun[][] Qualities)
{
    /// <summary>Number of scans.</summary>
    public int Count => Times.Length;

    /// <summary>The quality of one value; runs are few, so this is quick enough for single values but not for columns.</summary>
    public SignalQuality QualityAt(int point, int scan)
    {
        foreach (QualityRun run in Qualities[point])
        {
            if (scan < run.Count)
            {
                return run.Quality;
            }

            scan -= run.Count;
        }

        throw new ArgumentOutOfRangeException(nameof(scan));
    }
}

/// <summary>Values that follow one another with the same quality.</summary>
/// <param name="Quality">The quality.</param>
/// <param name="Count">How many values.</param>
public readonly record struct QualityRun(SignalQuality Quality, int Count);
