using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>What must be known of recorded curves before they are judged: taken in one look, in little memory.</summary>
public sealed class CurveSurvey : ICurveRows
{
    private StepCensus[] _steps = [];
    private DayPressure? _barometer;
    private DayPressure? _chamber;
    private int _barometerColumn = -1;
    private int _chamberColumn = -1;

    /// <summary>Whether times are UTC; else they count from the file's zero.</summary>
    public bool IsUtc { get; private set; }

    /// <summary>Number of rows.</summary>
    public long Rows { get; private set; }

    /// <summary>Time of the first row, ticks.</summary>
    public long FirstTicks { get; private set; }

    /// <summary>Time of the last row, ticks.</summary>
    public long LastTicks { get; private set; }

    /// <summary>
    /// The day's ambient pressure, hPa: median of the barometer, without one of the chamber while it stood open; null if neither tells.
    /// </summary>
    public double? DayHectopascal => _barometer?.Median ?? _chamber?.Median;

    /// <summary>Looks over curves.</summary>
    /// <param name="curves">The curves.</param>
    public static CurveSurvey Of(ICurves curves)
    {
        ArgumentNullException.ThrowIfNull(curves);
        var survey = new CurveSurvey();
        curves.Read(survey);
        return survey;
    }

    /// <summary>Number of readings in a column.</summary>
    /// <param name="column">Its place in the header.</param>
    public long ReadingsOf(int column) => _steps[column].Readings;

    /// <summary>A channel's nominal interval: the median of its steps; a second where it has none.</summary>
    /// <param name="column">Its place in the header.</param>
    public TimeSpan IntervalOf(int column) => _steps[column].Median;

    /// <inheritdoc/>
    public void Begin(bool isUtc, ImmutableArray<CurveHead> heads)
    {
        IsUtc = isUtc;
        _steps = [.. heads.Select(_ => new StepCensus())];
        for (int i = heads.Length - 1; i >= 0; i--)
        {
            _barometerColumn = heads[i].Role == ChannelRole.Barometer ? i : _barometerColumn;
            _chamberColumn = heads[i].Role == ChannelRole.Pressure ? i : _chamberColumn;
        }

        _barometer = _barometerColumn < 0 ? null : new DayPressure();
        _chamber = _chamberColumn < 0 ? null : new DayPressure();
    }

    /// <inheritdoc/>
    public void Row(long ticks, ReadOnlySpan<double> values)
    {
        FirstTicks = Rows == 0 ? ticks : FirstTicks;
        (LastTicks, Rows) = (ticks, Rows + 1);
        for (int i = 0; i < values.Length; i++)
        {
            if (!double.IsNaN(values[i]))
            {
                _steps[i].Add(ticks);
            }
        }

        if (_barometerColumn >= 0)
        {
            _barometer!.Add(values[_barometerColumn]);
        }

        if (_chamberColumn >= 0)
        {
            _chamber!.Add(values[_chamberColumn]);
        }
    }
}
