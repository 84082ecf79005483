using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Text;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>Probes a device that talks lines.</summary>
internal static class TextProbe
{
    private const int Lines = 5;

    public static ProbeReport Run(TextDeviceOptions options, ILink link, TimeProvider time, CancellationToken stop)
    {
        using CancellationTokenRegistration abort = stop.Register(link.Abort);
        using (link)
        {
            var report = new ProbeReport { Device = options.Id, Wire = link.Name, Reached = false };
            LinkResult opened = link.Open(options.ConnectTimeout);
            if (opened.Status != LinkStatus.Done) return report with { Findings = [opened.Reason ?? "It could not be opened."] };
            var device = new TextDevice(0, options, link, time);
            HashSet<string> findings = [];
            IReadOnlyList<ProbePoint> points = [];
            var times = new ResponseTimes();
            for (int i = 0; i < Lines && !stop.IsCancellationRequested; i++)
            {
                ScanResult scan = device.Scan();
                if (scan.Reason is not null) findings.Add(scan.Reason);
                if (scan.Status != ScanStatus.Answered) continue;
                times.Add(time.GetElapsedTime(scan.SentAt, scan.EndedAt));
                points = [.. options.Points.Select((p, at) => new ProbePoint(
                    p.Id, $"field {p.Field}", device.LastLine, double.IsNaN(scan.Values[at]) ? null : scan.Values[at],
                    scan.Qualities[at].ToString(), new Dictionary<string, double?>()))];
            }

            return report with
            {
                Reached = times.Count > 0 || device.Garbled > 0,
                Points = points,
                Answers = times.Count,
                MedianMilliseconds = times.Count > 0 && options.Query is not null ? times.QuantileMilliseconds(0.5) : null,
                Findings = [.. findings],
            };
        }
    }
}
