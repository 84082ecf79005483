using System.Globalization;

namespace ThermoWatch.Simulator;

/// <summary>What really was, as a curve file: time (RFC 3339) or seconds, true temperatures, chamber pressure.</summary>
internal sealed class TruthFile : IDisposable
{
    private readonly StreamWriter _writer;

    /// <exception cref="IOException">The file cannot be made.</exception>
    public TruthFile(string path)
    {
        _writer = new(path);
        _writer.Write("time," + Header + "\n");
    }

    /// <summary>Column heads after the time, as a curve file names them.</summary>
    public static string Header { get; } = string.Join(',',
        SimulatedChannels.Names.Take(SimulatedChannels.ProductCount).Select(n => $"{n} [degC] product joint")
            .Append("vapour [degC] vapour").Append("transport [degC] transport").Append("chamber [mbar] pressure"));

    /// <summary>One row.</summary>
    public void Write(DateTimeOffset utc, CellTruth truth)
    {
        _writer.Write(utc.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'", CultureInfo.InvariantCulture));
        foreach (double celsius in truth.ProductCelsius)
        {
            Write(celsius);
        }

        Write(truth.VapourCelsius);
        Write(truth.TransportCelsius);
        _writer.Write(',');
        _writer.Write(truth.ChamberMbar.ToString("0.0000", CultureInfo.InvariantCulture));
        _writer.Write('\n');
    }

    /// <inheritdoc/>
    public void Dispose() => _writer.Dispose();

    private void Write(double celsius)
    {
        _writer.Write(',');
        _writer.Write(celsius.ToString("0.0000", CultureInfo.InvariantCulture));
    }
}
