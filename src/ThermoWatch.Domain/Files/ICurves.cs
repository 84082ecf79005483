using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>What a curve file's header says of one column.</summary>
/// <param name="Name">As in the header.</param>
/// <param name="Role">What it measures.</param>
/// <param name="Place">Where on the product; joint unless the header says otherwise.</param>
/// <param name="Unit">Degrees Celsius or millibar, whatever the file used.</param>
public sealed record CurveHead(string Name, ChannelRole Role, Place Place, MeasuredUnit Unit);

/// <summary>Takes recorded curves row by row.</summary>
public interface ICurveRows
{
    /// <summary>Takes the header, before any row.</summary>
    /// <param name="isUtc">Whether times are UTC; else they count from the file's zero.</param>
    /// <param name="heads">The columns.</param>
    void Begin(bool isUtc, ImmutableArray<CurveHead> heads);

    /// <summary>Takes a row.</summary>
    /// <param name="ticks">Its time, 100 ns ticks; never falling.</param>
    /// <param name="values">One value a column, in the column's unit; NaN where nothing was measured. Good until the call returns.</param>
    void Row(long ticks, ReadOnlySpan<double> values);
}

/// <summary>Recorded curves that can be gone through as often as needed, the same each time.</summary>
public interface ICurves
{
    /// <summary>The columns, in the order of the header.</summary>
    ImmutableArray<CurveHead> Heads { get; }

    /// <summary>What one look over all of them shows.</summary>
    CurveSurvey Survey { get; }

    /// <summary>Goes through all rows.</summary>
    /// <param name="rows">Who takes them.</param>
    void Read(ICurveRows rows);
}
