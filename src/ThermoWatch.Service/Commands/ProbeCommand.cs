using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Api;

namespace ThermoWatch.Service.Commands;

/// <summary>Reads each device once and says what is wrong with its wiring or settings.</summary>
internal static class ProbeCommand
{
    private const int AllGood = 0, SomethingBad = 1, BadUsage = 2, NotReached = 3;

    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web);

    /// <summary>The verb.</summary>
    /// <param name="load">
    /// Reads the configuration (null: the default file): the devices of all cells, or the faults as one line.
    /// </param>
    public static Command Create(Func<string?, (IReadOnlyList<ProbedDevice> Devices, string? Fault)> load)
    {
        var config = new Option<string?>("--config") { Description = "Configuration file." };
        var device = new Option<string?>("--device") { Description = "Id of one device; all if left out." };
        var answers = new Option<int>("--answers") { Description = "How many answers to time.", DefaultValueFactory = _ => 50 };
        var json = new Option<bool>("--json") { Description = "One JSON object a device and line." };
        var command = new Command(
            "probe",
            "Read each device once: raw, in all word orders, quality, round trip; says what is wrong with the wiring or the settings.\nExample: thermowatch probe --config thermowatch.json --device amplifier1")
        {
            config, device, answers, json,
        };
        command.SetAction((parsed, stop) => Task.Run(() =>
        {
            (IReadOnlyList<ProbedDevice> devices, string? fault) = load(parsed.GetValue(config));
            if (fault is not null) return Fail(fault);
            if (parsed.GetValue(device) is { } id)
            {
                ProbedDevice[] named = [.. devices.Where(d => d.Options.Id == id)];
                if (named.Length == 0) return Fail($"There is no device '{id}'. Use one of: {string.Join(", ", devices.Select(d => d.Options.Id))}.");
                devices = named;
            }

            return Run(devices, Math.Clamp(parsed.GetValue(answers), 1, 10_000), parsed.GetValue(json), Console.Out, stop);
        }, stop));
        return command;
    }

    /// <summary>Probes the devices one after the other, and returns the exit code.</summary>
    internal static int Run(IReadOnlyList<ProbedDevice> devices, int answers, bool json, TextWriter output, CancellationToken stop)
    {
        int code = AllGood;
        foreach (ProbedDevice device in devices)
        {
            ProbeReport report = device.Converted(
                Probe.Run(device.Options, TimeProvider.System, answers, stop), Timestamp.From(TimeProvider.System.GetUtcNow()));
            if (json) output.WriteLine(JsonSerializer.Serialize(report, Json));
            else Write(report, output);
            int of = !report.Reached ? NotReached : report.Points.Any(p => p.Quality != "good") ? SomethingBad : AllGood;
            if (of > code) code = of;
        }

        return code;
    }

    private static void Write(ProbeReport report, TextWriter output)
    {
        output.WriteLine($"{report.Device} at {report.Wire}: {(report.Reached ? "answers" : "NOT REACHED")}{(report.Identification is { } what ? $" ({what})" : "")}");
        foreach (ProbePoint point in report.Points)
        {
            string orders = string.Join("  ", point.Orders.Select(o => $"{o.Key} {Number(o.Value)}"));
            output.WriteLine($"  {point.Point,-16} {point.Where,-36} {point.Raw,-16} {Number(point.Value),-14} {point.Quality}  {orders}".TrimEnd());
        }

        foreach (ProbeChannel channel in report.Channels)
            output.WriteLine($"  = {channel.Channel,-14} {Number(channel.Value)} {(channel.Unit == "1" ? "" : channel.Unit)} {channel.Quality}".TrimEnd());

        if (report.MedianMilliseconds is { } median)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  round trip: half within {median:0.##} ms, 99.9 % within {report.SlowestMilliseconds:0.##} ms, of {report.Answers}; suggested time-out {report.SuggestedTimeoutMilliseconds?.ToString("0", CultureInfo.InvariantCulture) ?? "-"} ms"));
            long most = report.Histogram.Count == 0 ? 1 : report.Histogram.Max(b => b.Count);
            foreach (ProbeBucket bucket in report.Histogram)
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"    up to {bucket.UpToMilliseconds,8:0.##} ms {bucket.Count,6} {new string('#', (int)(40 * bucket.Count / most))}"));
        }

        foreach (string finding in report.Findings) output.WriteLine($"  ! {finding}");
    }

    private static string Number(double? value) => value?.ToString("G9", CultureInfo.InvariantCulture) ?? "-";

    private static int Fail(string problem)
    {
        Console.Error.WriteLine(problem);
        return BadUsage;
    }
}
