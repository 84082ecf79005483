using System.Collections.Concurrent;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Text;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>Probes a device that talks lines.</summary>
internal sealed class TextProbe(TextDeviceOptions options, string wire, TimeProvider time, IProgress<ProbeProgress>? progress)
{
    private const int Lines = 5;

    private readonly HashSet<string> _findings = [];
    private readonly ResponseTimes _times = new();
    private IReadOnlyList<ProbePoint> _points = [];
    private bool _heard;

    /// <summary>Opens the link and reads a few lines.</summary>
    public static ProbeReport Run(TextDeviceOptions options, ILink link, TimeProvider time, CancellationToken stop, IProgress<ProbeProgress>? progress)
    {
        using CancellationTokenRegistration abort = stop.Register(link.Abort);
        using (link)
        {
            var probe = new TextProbe(options, link.Name, time, progress);
            LinkResult opened = link.Open(options.ConnectTimeout);
            if (opened.Status != LinkStatus.Done)
            {
                probe._findings.Add(opened.Reason ?? "No connection could be made.");
                return probe.Report();
            }

            var device = new TextDevice(0, options, link, time);
            for (int i = 0; i < Lines && !stop.IsCancellationRequested; i++)
            {
                probe.Tell(i);
                probe.Take(device.Scan(), device.LastLine);
            }

            return probe.Report();
        }
    }

    /// <summary>Listens to the polls of a bus that reads the device anyway.</summary>
    public static ProbeReport Overhear(TextDeviceOptions options, BusWorker bus, TimeProvider time, CancellationToken stop, IProgress<ProbeProgress>? progress)
    {
        var probe = new TextProbe(options, bus.Connection.Name, time, progress);
        var polls = new BlockingCollection<(ScanResult Scan, string Line)>(Lines);
        bus.Overheard = (device, scan) => polls.TryAdd((scan, ((TextDevice)device).LastLine));
        try
        {
            // A line that cannot be opened is not polled: its state says why.
            for (int i = 0; i < Lines; i++)
            {
                probe.Tell(i);
                if (polls.TryTake(out (ScanResult Scan, string Line) poll, (int)(2 * (options.Period + options.Timeout + options.ConnectTimeout)).TotalMilliseconds, stop))
                {
                    probe.Take(poll.Scan, poll.Line);
                    continue;
                }

                probe._findings.Add(bus.Statistics[0].Reason is { Length: > 0 } reason ? reason : "The line was not polled in the time of several periods.");
                break;
            }
        }
        catch (OperationCanceledException)
        {
            // Stopped: the report holds what was heard so far.
        }
        finally
        {
            bus.Overheard = null;
        }

        return probe.Report();
    }

    private void Take(ScanResult scan, string line)
    {
        if (scan.Reason is not null) _findings.Add(scan.Reason);
        _heard |= scan.Status is ScanStatus.Answered or ScanStatus.Garbled;
        if (scan.Status != ScanStatus.Answered) return;
        _times.Add(time.GetElapsedTime(scan.SentAt, scan.EndedAt));
        PlausibleRange.Mark(options.Plausible, scan.Values, scan.Qualities);
        _points = [.. options.Points.Select((p, at) => new ProbePoint(
            p.Id, $"field {p.Field}", line, double.IsNaN(scan.Values[at]) ? null : scan.Values[at],
            scan.Qualities[at].ToString(), new Dictionary<string, double?>()))];
    }

    private void Tell(int done) => progress?.Report(new ProbeProgress("reading lines", done, Lines));

    private ProbeReport Report() => new()
    {
        Device = options.Id,
        Wire = wire,
        Reached = _heard,
        Points = _points,
        Answers = _times.Count,
        MedianMilliseconds = _times.Count > 0 && options.Query is not null ? _times.QuantileMilliseconds(0.5) : null,
        Findings = [.. _findings],
    };
}
