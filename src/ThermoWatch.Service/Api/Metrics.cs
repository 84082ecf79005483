using System.Diagnostics;
using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Publishing;

namespace ThermoWatch.Service.Api;

/// <summary><c>/metrics</c>: the service itself and the newest readings, in Prometheus' text format (version 0.0.4).</summary>
internal static class Metrics
{
    public static void MapMetrics(this IEndpointRouteBuilder app) =>
        app.MapGet("/metrics", (CellDirectory cells, RecordWatch record, FeedDesk feeds, ProbeDesk probes) =>
                Results.Text(Write(cells.All, record.Current, feeds, probes), "text/plain; version=0.0.4", Encoding.UTF8))
            .Produces<string>(contentType: "text/plain")
            .WithSummary("The service itself and the newest readings, in Prometheus' text format.");

    private static string Write(IReadOnlyList<CellHost> cells, RecordingStatus recording, FeedDesk feeds, ProbeDesk probes)
    {
        var text = new MetricText();
        foreach ((MeasuredUnit unit, string name, string help) in ((MeasuredUnit, string, string)[])
            [
                (MeasuredUnit.DegreeCelsius, "thermowatch_temperature_celsius", "Newest temperature of a channel, ITS-90. A bad reading has no value."),
                (MeasuredUnit.Millibar, "thermowatch_pressure_mbar", "Newest absolute pressure of a channel. A bad reading has no value."),
                (MeasuredUnit.Millivolt, "thermowatch_voltage_millivolts", "Newest voltage of a channel. A bad reading has no value."),
                (MeasuredUnit.One, "thermowatch_signal", "Newest state, position or number of a channel. A bad reading has no value."),
            ])
        {
            text.Begin(name, "gauge", help);
            Each(cells, (labels, channel, reading) =>
            {
                if (channel.Unit == unit && reading.Quality.HasValue && double.IsFinite(reading.Value))
                {
                    text.Sample(name, labels, reading.Value);
                }
            });
        }

        text.Begin("thermowatch_reading_quality", "gauge", "Quality of the newest reading: 0 good, 1 uncertain, 2 bad.");
        Each(cells, (labels, _, reading) => text.Sample("thermowatch_reading_quality", labels, (int)reading.Quality.Level));
        text.Begin("thermowatch_reading_time_seconds", "gauge", "When the newest reading was taken, seconds since 1970.");
        Each(cells, (labels, _, reading) => text.Sample("thermowatch_reading_time_seconds", labels, reading.Time.ToUnixMilliseconds() / 1000));

        text.Single("thermowatch_recording", "gauge", "Whether the record is written: 1 yes, 0 it waits or loses.", recording.State == JournalState.Recording ? 1 : 0);
        text.Single("thermowatch_recording_waiting_entries", "gauge", "Entries that are only in memory.", recording.WaitingEntries);
        text.Single("thermowatch_recording_lost_entries_total", "counter", "Entries that could not be recorded since the start.", recording.NotRecorded);
        if (recording.Space is { } space)
        {
            text.Single("thermowatch_record_free_bytes", "gauge", "Room left on the record's disk.", space.FreeBytes);
        }

        FeedStatus[] statuses = [.. feeds.Feeds.Select(f => f.Feed.Status)];
        void Of(string name, string type, string help, Func<FeedStatus, double> value) =>
            text.Each(name, type, help, statuses.Select(s => ((IReadOnlyList<(string, string)>)[("feed", s.Id), ("kind", s.Kind)], value(s))));
        Of("thermowatch_feed_lag_seconds", "gauge", "Age of the oldest entry that the target has not confirmed.", s => s.Lag.TotalSeconds);
        Of("thermowatch_feed_backlog_entries", "gauge", "Entries of the record that the target has not confirmed.", s => s.BacklogEntries);
        Of("thermowatch_feed_confirmed_readings_total", "counter", "Readings confirmed since the start.", s => s.ConfirmedReadings);
        Of("thermowatch_feed_rejected_lines_total", "counter", "Lines that the target would not take since the start.", s => s.RejectedLines);
        Of("thermowatch_feed_quarantined_lines", "gauge", "Lines that the target would not take and that are kept.", s => s.Quarantine.Lines);
        Of("thermowatch_feed_shared_times_total", "counter", "Scans since the start whose time, as sent, is that of the device's scan before: the target keeps one of them.", s => s.SharedTimes);
        Of("thermowatch_feed_sending", "gauge", "Whether the last attempt went well and nobody has paused it.", s => s.State == FeedState.Sending ? 1 : 0);

        var devices = probes.Lines.SelectMany(line => line.Devices.Select((device, at) => (
            Labels: (IReadOnlyList<(string, string)>)[("cell", Number(line.Cell.Number)), ("device", device.Id)], Found: line.Runner.Statistics[at]))).ToArray();
        text.Each("thermowatch_device_polls_total", "counter", "Polls begun.", devices.Select(d => (d.Labels, (double)d.Found.Polls)));
        text.Each("thermowatch_device_missed_polls_total", "counter", "Polls without a good answer.", devices.Select(d => (d.Labels, (double)d.Found.Missed)));

        using var process = Process.GetCurrentProcess();
        text.Single("process_cpu_seconds_total", "counter", "Processor time used.", process.TotalProcessorTime.TotalSeconds);
        text.Single("process_resident_memory_bytes", "gauge", "Memory in use.", process.WorkingSet64);
        text.Single("dotnet_gc_heap_bytes", "gauge", "Managed heap in use.", GC.GetTotalMemory(false));
        return text.ToString();
    }

    private static void Each(IReadOnlyList<CellHost> cells, Action<IReadOnlyList<(string, string)>, ChannelDefinition, Reading> visit)
    {
        foreach (CellHost host in cells)
        {
            IReadOnlyList<Reading> readings = host.Readings;
            for (int i = 0; i < readings.Count; i++)
            {
                ChannelDefinition channel = host.Definition.Channels[i];
                visit([("cell", Number(host.Definition.Number)), ("channel", channel.Id), ("role", Words.Of(channel.Role))], channel, readings[i]);
            }
        }
    }

    private static string Number(int value) => value.ToString(CultureInfo.InvariantCulture);
}

/// <summary>Prometheus' text format, written line by line.</summary>
internal sealed class MetricText
{
    private readonly StringBuilder _text = new();

    public void Begin(string name, string type, string help) => _text.Append(CultureInfo.InvariantCulture, $"# HELP {name} {help}\n# TYPE {name} {type}\n");

    public void Single(string name, string type, string help, double value)
    {
        Begin(name, type, help);
        Sample(name, [], value);
    }

    public void Each(string name, string type, string help, IEnumerable<(IReadOnlyList<(string, string)> Labels, double Value)> samples)
    {
        Begin(name, type, help);
        foreach ((IReadOnlyList<(string, string)> labels, double value) in samples)
        {
            Sample(name, labels, value);
        }
    }

    public void Sample(string name, IReadOnlyList<(string Name, string Value)> labels, double value)
    {
        _text.Append(name);
        if (labels.Count > 0)
        {
            _text.Append('{').AppendJoin(',', labels.Select(l => $"{l.Name}=\"{Escaped(l.Value)}\"")).Append('}');
        }

        _text.Append(' ').Append(value.ToString("R", CultureInfo.InvariantCulture)).Append('\n');
    }

    public override string ToString() => _text.ToString();

    private static string Escaped(string value) =>
        value.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal).Replace("\n", "\\n", StringComparison.Ordinal);
}
