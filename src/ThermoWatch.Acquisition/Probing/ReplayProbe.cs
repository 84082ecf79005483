using ThermoWatch.Acquisition.Replay;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>Opens a recording and shows its first row.</summary>
internal static class ReplayProbe
{
    public static ProbeReport Run(ReplayDeviceOptions options)
    {
        var report = new ProbeReport { Device = options.Id, Wire = options.Recording.Name, Reached = false };
        RecordingOpening opening = options.Recording.Open([.. options.Points.Select(p => p.Column)]);
        if (opening.Rows is null) return report with { Findings = [opening.Problem!] };
        using IEnumerator<RecordedRow> rows = opening.Rows.GetEnumerator();
        if (!rows.MoveNext()) return report with { Findings = ["It holds no readings of this device. Check what of it is to be replayed."] };
        RecordedRow row = rows.Current;
        PlausibleRange.Mark(options.Plausible, row.Values, row.Qualities);
        return report with
        {
            Reached = true,
            Points = [.. options.Points.Select((p, at) => new ProbePoint(
                p.Id, $"column {p.Column}", "", double.IsNaN(row.Values[at]) ? null : row.Values[at], row.Qualities[at].ToString(), new Dictionary<string, double?>()))],
        };
    }
}
