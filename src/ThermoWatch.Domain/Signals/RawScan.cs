namespace ThermoWatch.Domain.Signals;

/// <summary>What one device said in one poll, before anything is derived from it: this is the record.</summary>
/// <remarks>
/// <see cref="Values"/> holds one number for each of the device's points, in the order of
/// <see cref="Engine.DeviceDefinition.Points"/>: the number that stood in the device's words
/// (a count, or a float), unscaled. Integers up to 53 bits and IEEE single and double values are held exactly.
/// A point without a value holds NaN and a bad quality.
/// The arrays belong to the scan once it is made; nobody writes to them again.
/// </remarks>
public sealed class RawScan
{
    /// <param name="deviceIndex">Place of the device in <see cref="Engine.CellDefinition.Devices"/>.</param>
    /// <param name="time">Middle of request and response, or receipt for an instrument that talks unasked.</param>
    /// <param name="values">One number a point, unscaled.</param>
    /// <param name="qualities">One quality a point; as long as <paramref name="values"/>.</param>
    /// <exception cref="ArgumentException">The two arrays differ in length.</exception>
    public RawScan(int deviceIndex, Timestamp time, double[] values, SignalQuality[] qualities)
    {
        if (values.Length != qualities.Length)
        {
            throw new ArgumentException($"{values.Length} values but {qualities.Length} qualities.", nameof(qualities));
        }

        DeviceIndex = deviceIndex;
        Time = time;
        Values = values;
        Qualities = qualities;
    }

    /// <summary>Place of the device in the cell's list.</summary>
    public int DeviceIndex { get; }

    /// <summary>When the device was read.</summary>
    public Timestamp Time { get; }

    /// <summary>One unscaled number a point.</summary>
    public double[] Values { get; }

    /// <summary>One quality a point.</summary>
    public SignalQuality[] Qualities { get; }
}
