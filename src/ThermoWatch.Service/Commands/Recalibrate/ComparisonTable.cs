using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary>A run as it was recorded and as it is with other calibrations, side by side.</summary>
internal static class ComparisonTable
{
    public static string Of(IHistory history, JudgedRun recorded, JudgedRun recalibrated, IReadOnlyDictionary<string, Calibration> calibrations)
    {
        var text = new StringBuilder();
        text.AppendLine($"{history.Name}: {Judgement.Name(recorded.Picture.Verdict)} as recorded, {Judgement.Name(recalibrated.Picture.Verdict)} with the calibrations");
        foreach ((string id, Calibration calibration) in calibrations)
        {
            string certificate = calibration.Certificate.Length > 0 ? $" ({calibration.Certificate})" : "";
            text.AppendLine($"  {id}{certificate}: {string.Join(", ", calibration.Points.Select(p => Invariant($"{p.Reference - p.Indicated:+0.###;-0.###;0} at {p.Indicated:0.###}")))}");
        }

        foreach (string note in history.Notes) text.AppendLine("  " + note);
        int channelWidth = Math.Max(7, recorded.Picture.Figures.Max(f => f.ChannelId?.Length ?? 0));
        text.AppendLine($"  {"figure",-21} {"channel".PadRight(channelWidth)} {"recorded",24} {"recalibrated",24} {"change",10}  verdict");
        foreach (FigureResult then in recorded.Picture.Figures)
        {
            FigureResult? now = recalibrated.Find(then);
            if (now is not null && Same(then, now)) continue; // what did not move is not news
            string change = then.Value is { } before && now?.Value is { } after ? Invariant($"{after - before:+0.###;-0.###;0}") : "";
            string verdict = (Judgement.Name(then.Verdict), Judgement.Name(now?.Verdict)) switch
            {
                (null, null) => "",
                var (a, b) when a == b => a!,
                var (a, b) => $"{a ?? "-"} -> {b ?? "-"}",
            };
            text.AppendLine($"  {then.Figure,-21} {(then.ChannelId ?? "").PadRight(channelWidth)} {Value(then),24} {Value(now),24} {change,10}  {verdict}".TrimEnd());
        }

        int moved = recorded.Picture.Figures.Count(then => recalibrated.Find(then) is not { } now || !Same(then, now));
        text.AppendLine($"  {moved} of {recorded.Picture.Figures.Length} figures moved. The record stays as it is.");
        return text.ToString();
    }

    /// <summary>Both judgements of one channel's curve: a curve file with two columns for each recalibrated channel.</summary>
    public static void WriteCurves(TextWriter output, JudgedRun recorded, JudgedRun recalibrated, IReadOnlyList<ChannelDefinition> channels)
    {
        output.Write("time_s");
        foreach (ChannelDefinition channel in channels)
        {
            string unit = channel.Unit == MeasuredUnit.Millibar ? "mbar" : "degC";
            output.Write($",{channel.Id} [{unit}] auxiliary,{channel.Id} recalibrated [{unit}] auxiliary");
        }

        output.WriteLine();
        List<Dictionary<Timestamp, double>> columns = [];
        foreach (ChannelDefinition channel in channels)
        {
            columns.Add(ByTime(recorded.Readings[channel.Id]));
            columns.Add(ByTime(recalibrated.Readings[channel.Id]));
        }

        foreach (Timestamp time in columns.SelectMany(column => column.Keys).Distinct().Order())
        {
            output.Write(time.SecondsSince(recorded.Picture.Start).ToString("0.#######", CultureInfo.InvariantCulture));
            foreach (Dictionary<Timestamp, double> column in columns)
            {
                output.Write(column.TryGetValue(time, out double value) ? "," + value.ToString("R", CultureInfo.InvariantCulture) : ",");
            }

            output.WriteLine();
        }
    }

    private static Dictionary<Timestamp, double> ByTime(IReadOnlyList<Reading> readings)
    {
        Dictionary<Timestamp, double> values = [];
        foreach (Reading reading in readings) values[reading.Time] = reading.Value; // of equal times the last counts
        return values;
    }

    private static bool Same(FigureResult then, FigureResult now) =>
        (then.Value, then.Low, then.High, then.U, then.Verdict, then.Reason) == (now.Value, now.Low, now.High, now.U, now.Verdict, now.Reason);

    private static string Value(FigureResult? figure) => figure switch
    {
        null => "-",
        { Value: { } value, U: { } u } => Invariant($"{value:0.###} ± {u:0.##} {figure.Unit}"),
        { Value: { } value } => Invariant($"{value:0.###} {figure.Unit}"),
        { Low: { } low, High: { } high } => Invariant($"{low:0.###} to {high:0.###} {figure.Unit}"),
        { Low: { } low } => Invariant($"at least {low:0.###} {figure.Unit}"),
        { High: { } high } => Invariant($"at most {high:0.###} {figure.Unit}"),
        _ => figure.Reason ?? "-",
    };

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
