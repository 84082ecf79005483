using System.Text.Json;
using System.Text.Json.Serialization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>The shape of a run's curves, for its description; written by <see cref="RunCurvesResult"/>.</summary>
/// <param name="Start">Start of the run, RFC 3339: time zero.</param>
/// <param name="TimeSeconds">One for each scan, rising.</param>
/// <param name="Curves">One for each channel, in the order of the run's channels.</param>
/// <param name="Marks">Readings that turned out to be worth less than they seemed.</param>
/// <param name="Lost">What of the span cannot be read any more, in plain words.</param>
internal sealed record RunCurvesShape(
    string Start, [property: JsonPropertyName("time_s")] IReadOnlyList<double> TimeSeconds, IReadOnlyList<CurveShape> Curves,
    IReadOnlyList<MarkShape> Marks, IReadOnlyList<string> Lost);

/// <summary>One reading, or all of a channel's in a stretch, that later ones showed to be none to judge by.</summary>
/// <param name="Channel">Its id.</param>
/// <param name="FromSeconds">The reading, or the first of them.</param>
/// <param name="ToSeconds">The same, or the last of them.</param>
/// <param name="Quality">As in files: uncertain:spike or uncertain:detached.</param>
internal sealed record MarkShape(
    string Channel, [property: JsonPropertyName("from_s")] double FromSeconds, [property: JsonPropertyName("to_s")] double ToSeconds, string Quality);

/// <summary>One channel's readings.</summary>
/// <param name="Channel">Its id.</param>
/// <param name="Unit">degC, mbar, mV or 1.</param>
/// <param name="Values">One for each time; null without a value.</param>
/// <param name="Quality">A digit for each time: 0 good, 1 uncertain, 2 bad, 3 not in this scan.</param>
internal sealed record CurveShape(string Channel, string Unit, IReadOnlyList<float?> Values, string Quality);

/// <summary>Converts a run's scans anew from the journal and writes them as columns.</summary>
internal sealed class RunCurvesResult : IResult
{
    private const char NotInThisScan = '3';
    private readonly RunReader _reader;
    private readonly RunRow _run;
    private readonly CellDefinition _cell;
    private readonly int[] _deviceOf;
    private readonly List<double> _times = [];
    private readonly List<long> _ticks = [];
    private readonly List<float>[] _values;
    private readonly List<char>[] _qualities;
    private readonly SpikeMarker[] _spikes;
    private readonly List<MarkShape> _marks = [];

    public RunCurvesResult(RunReader reader)
    {
        _reader = reader;
        _run = reader.Run;
        _cell = reader.Cell;
        _deviceOf = FramePacker.DeviceOfEachChannel(_cell);
        _values = [.. _cell.Channels.Select(_ => new List<float>())];
        _qualities = [.. _cell.Channels.Select(_ => new List<char>())];
        _spikes = [.. _cell.Channels.Select(channel => new SpikeMarker(channel))];
    }

    public async Task ExecuteAsync(HttpContext httpContext)
    {
        await Task.Run(() => Read(httpContext.RequestAborted), httpContext.RequestAborted);
        httpContext.Response.ContentType = "application/json; charset=utf-8";
        await using var writer = new Utf8JsonWriter(httpContext.Response.BodyWriter);
        Write(writer);
        await writer.FlushAsync(httpContext.RequestAborted);
    }

    private void Read(CancellationToken gone)
    {
        _reader.Read(Take, gone);
        foreach (GapSpan span in _reader.Detached(gone))
        {
            Mark(span);
        }
    }

    private void Take(RawScan scan, Reading[] readings)
    {
        _times.Add(scan.Time.SecondsSince(_run.Start));
        _ticks.Add(scan.Time.UtcTicks);
        for (int i = 0; i < readings.Length; i++)
        {
            bool inScan = _deviceOf[i] == scan.DeviceIndex;
            _values[i].Add(inScan && readings[i].Quality.HasValue ? (float)readings[i].Value : float.NaN);
            _qualities[i].Add(inScan ? (char)('0' + (int)readings[i].Quality.Level) : NotInThisScan);
            if (inScan && _spikes[i].Offer(readings[i]) is { } spike)
            {
                Mark(i, spike);
            }
        }
    }

    /// <summary>A spike shows beside its follower, so its own row is one of the last.</summary>
    private void Mark(int channel, Reading spike)
    {
        for (int row = _ticks.Count - 1; row >= 0 && _ticks[row] >= spike.Time.UtcTicks; row--)
        {
            if (_ticks[row] == spike.Time.UtcTicks && _qualities[channel][row] != NotInThisScan)
            {
                _qualities[channel][row] = (char)('0' + (int)spike.Quality.Level);
                _marks.Add(new MarkShape(_cell.Channels[channel].Id, _times[row], _times[row], spike.Quality.ToString()));
                return;
            }
        }
    }

    /// <summary>Marks what a channel read of the run after its last sure reading; what comes after the run is another matter.</summary>
    private void Mark(GapSpan span)
    {
        int channel = _cell.Channels.ToList().FindIndex(c => c.Id == span.ChannelId);
        SignalQuality mark = SignalQuality.Uncertain(span.Reason);
        long end = (span.End ?? _run.End)?.UtcTicks ?? long.MaxValue;
        (double First, double Last)? marked = null;
        for (int row = 0; row < _ticks.Count && _ticks[row] <= end; row++)
        {
            if (_ticks[row] <= span.Start.UtcTicks || _qualities[channel][row] > '0' + (int)mark.Level)
            {
                continue;
            }

            _qualities[channel][row] = (char)('0' + (int)mark.Level);
            marked = (marked?.First ?? _times[row], _times[row]);
        }

        if (marked is var (first, last))
        {
            _marks.Add(new MarkShape(span.ChannelId, first, last, mark.ToString()));
        }
    }

    private void Write(Utf8JsonWriter writer)
    {
        writer.WriteStartObject();
        writer.WriteString("start", _run.Start.ToString());
        writer.WriteStartArray("time_s");
        foreach (double time in _times)
        {
            // Microseconds: finer than any instrument's own clock, and half as long to read.
            writer.WriteNumberValue(Math.Round(time, 6));
        }

        writer.WriteEndArray();
        writer.WriteStartArray("curves");
        for (int i = 0; i < _cell.Channels.Count; i++)
        {
            ChannelDefinition channel = _cell.Channels[i];
            writer.WriteStartObject();
            writer.WriteString("channel", channel.Id);
            writer.WriteString("unit", LiveMapping.ToLayout(channel, null).Unit);
            writer.WriteStartArray("values");
            foreach (float value in _values[i])
            {
                if (float.IsFinite(value))
                {
                    writer.WriteNumberValue(value);
                }
                else
                {
                    writer.WriteNullValue();
                }
            }

            writer.WriteEndArray();
            writer.WriteString("quality", System.Runtime.InteropServices.CollectionsMarshal.AsSpan(_qualities[i]));
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("marks");
        foreach (MarkShape mark in _marks)
        {
            writer.WriteStartObject();
            writer.WriteString("channel", mark.Channel);
            writer.WriteNumber("from_s", Math.Round(mark.FromSeconds, 6));
            writer.WriteNumber("to_s", Math.Round(mark.ToSeconds, 6));
            writer.WriteString("quality", mark.Quality);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("lost");
        _reader.Lost.ForEach(writer.WriteStringValue);
        writer.WriteEndArray();
        writer.WriteEndObject();
    }
}
