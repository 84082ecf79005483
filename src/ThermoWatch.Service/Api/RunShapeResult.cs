using System.Text.Json.Serialization;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>A run as a small drawing shows it: least and greatest in each of equally wide columns of time.</summary>
/// <param name="Start">Start of the run, RFC 3339: the left edge.</param>
/// <param name="LengthSeconds">From the left edge to the right one.</param>
/// <param name="Of">Which temperatures: product, or vapour where nothing was measured on the product.</param>
/// <param name="Low">Least of them in each column, °C; null without a reading.</param>
/// <param name="High">Greatest of them in each column, °C; null without a reading.</param>
/// <param name="Pressure">Least chamber pressure in each column, mbar absolute; null without a reading.</param>
internal sealed record RunShape(
    string Start, [property: JsonPropertyName("length_s")] double LengthSeconds, string Of,
    IReadOnlyList<double?> Low, IReadOnlyList<double?> High, IReadOnlyList<double?> Pressure);

/// <summary>Makes the shape of a run from its journal.</summary>
internal sealed class RunShapeResult : IResult
{
    private readonly RunReader _reader;
    private readonly double _length;
    private readonly bool _finished;
    private readonly int[] _deviceOf;
    private readonly bool[] _drawn;
    private readonly int _chamber;
    private readonly ChannelRole _role;
    private readonly double?[] _low;
    private readonly double?[] _high;
    private readonly double?[] _pressure;

    /// <param name="reader">Reads from the run's start to its end.</param>
    /// <param name="lengthSeconds">How long the drawing is, s.</param>
    /// <param name="columns">How many columns it has.</param>
    public RunShapeResult(RunReader reader, double lengthSeconds, int columns)
    {
        _reader = reader;
        _length = lengthSeconds;
        _finished = reader.Run.End is not null;
        IReadOnlyList<ChannelDefinition> channels = reader.Cell.Channels;
        _role = channels.Any(c => IsDrawn(c, ChannelRole.Product)) ? ChannelRole.Product : ChannelRole.Vapour;
        _drawn = [.. channels.Select(c => IsDrawn(c, _role))];
        _chamber = channels.ToList().FindIndex(c => c.Role == ChannelRole.Pressure);
        _deviceOf = FramePacker.DeviceOfEachChannel(reader.Cell);
        (_low, _high, _pressure) = (new double?[columns], new double?[columns], new double?[columns]);
    }

    public async Task ExecuteAsync(HttpContext httpContext)
    {
        await Task.Run(() => _reader.Read(Take, httpContext.RequestAborted), httpContext.RequestAborted);
        if (_finished)
        {
            // What was read does not change any more; whoever scrolls back and forth need not ask again.
            httpContext.Response.Headers.CacheControl = "private, max-age=600";
        }

        await Results.Ok(new RunShape(_reader.Run.Start.ToString(), _length, Configuration.Words.Of(_role), Rounded(_low, 1), Rounded(_high, 1), Rounded(_pressure, 3)))
            .ExecuteAsync(httpContext);
    }

    private bool IsDrawn(ChannelDefinition channel, ChannelRole role) =>
        channel.Role == role && channel.Unit == MeasuredUnit.DegreeCelsius && (channel.Carrier is null || channel.Carrier == _reader.Run.Carrier);

    private void Take(RawScan scan, Reading[] readings)
    {
        int column = (int)(scan.Time.SecondsSince(_reader.Run.Start) / _length * _low.Length);
        if (column < 0 || column >= _low.Length)
        {
            return;
        }

        for (int i = 0; i < readings.Length; i++)
        {
            if (_deviceOf[i] != scan.DeviceIndex || !readings[i].Quality.HasValue)
            {
                continue;
            }

            double value = readings[i].Value;
            if (_drawn[i])
            {
                _low[column] = Math.Min(_low[column] ?? value, value);
                _high[column] = Math.Max(_high[column] ?? value, value);
            }
            else if (i == _chamber)
            {
                _pressure[column] = Math.Min(_pressure[column] ?? value, value);
            }
        }
    }

    private static double?[] Rounded(double?[] values, int digits) => [.. values.Select(v => v is { } known ? Math.Round(known, digits) : (double?)null)];
}
