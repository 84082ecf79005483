using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Commands;

/// <summary>A judgement to read in a terminal: each limited figure with its window, then the others.</summary>
internal static class JudgementTable
{
    private const int BarWidth = 25;

    /// <summary>Spikes of one channel that are told with their time; of more only how many there are.</summary>
    private const int SpikesTold = 5;

    public static string Of(string file, CurveSurvey survey, RecordedRun recorded, Spec spec)
    {
        RunPicture run = recorded.Run;
        var text = new StringBuilder();
        text.AppendLine(Invariant($"{file}: {Judgement.Name(run.Verdict)} by {spec.Name} version {spec.Version}"));
        foreach (string reason in run.Reasons)
        {
            text.AppendLine($"  because of {reason}");
        }

        Alloys(text, spec);
        Vapour(text, survey, spec);
        int channelWidth = run.Figures.Select(f => f.ChannelId?.Length ?? 0).Append(0).Max();
        Rows(text, run.Figures.Where(f => f.Severity is not null), channelWidth);
        text.AppendLine("  Without limits:");
        Rows(text, run.Figures.Where(f => f.Severity is null), channelWidth);
        NotJudged(text, recorded);
        if (spec.Measurement is { AttachmentKelvin: null })
        {
            text.AppendLine("  Uncertainties: attachment not included.");
        }

        foreach (PhaseSpan phase in run.Phases)
        {
            text.AppendLine(Invariant($"  {phase.Name,-10} {phase.Start.SecondsSince(run.Start),9:0.0} s to {phase.End?.SecondsSince(run.Start),9:0.0} s"));
        }

        return text.AppendLine().ToString();
    }

    /// <summary>The window as a band and the value as a tick; outside it the tick stands beyond the bracket.</summary>
    internal static string Bar(double? value, double? lower, double? upper)
    {
        if (value is not { } number || (lower ?? upper) is null)
        {
            return new string(' ', BarWidth);
        }

        // The window takes the middle half; with one limit the other side is as far as the value, or the limit's tenth.
        double width = lower is { } l && upper is { } u ? u - l : Math.Max(Math.Abs(number - (lower ?? upper)!.Value) * 1.5, Math.Abs((lower ?? upper)!.Value) / 10);
        width = width > 0 ? width : 1;
        double from = (lower ?? (upper!.Value - width)) - (width / 2);
        int Place(double x) => (int)Math.Clamp(Math.Round((x - from) / (2 * width) * (BarWidth - 1)), 0, BarWidth - 1);
        char[] bar = [.. Enumerable.Repeat(' ', BarWidth)];
        int first = lower is { } low ? Place(low) : 0;
        int last = upper is { } high ? Place(high) : BarWidth - 1;
        Array.Fill(bar, '-', first, last - first + 1);
        bar[first] = lower is null ? '-' : '[';
        bar[last] = upper is null ? '-' : ']';
        bar[Place(number)] = '|';
        return new string(bar);
    }

    /// <summary>Lists differ by some kelvin, so the temperatures that were used are said.</summary>
    private static void Alloys(StringBuilder text, Spec spec)
    {
        foreach ((string? channel, Alloy alloy) in spec.ChannelAlloys.OrderBy(a => a.Key, StringComparer.Ordinal).Select(a => ((string?)a.Key, a.Value)).Prepend((null, spec.Alloy)))
        {
            string also = AlloyLibrary.Find(alloy.Name) is { } known && (known.Solidus != alloy.Solidus || known.Liquidus != alloy.Liquidus)
                ? Invariant($" (the library has {known.Solidus:0.#} and {known.Liquidus:0.#})") : "";
            text.AppendLine(Invariant($"  {(channel is null ? "" : channel + ": ")}{alloy.Name}, solidus {alloy.Solidus:0.#}, liquidus {alloy.Liquidus:0.#} degC{also}"));
        }
    }

    /// <summary>What the fluid's vapour should have been that day, and which limits could not be met in it.</summary>
    private static void Vapour(StringBuilder text, CurveSurvey survey, Spec spec)
    {
        if (spec.Fluid is not { } fluid || survey.DayHectopascal is not { } day)
        {
            return;
        }

        BoilingPoint expected = BoilingPoint.At(fluid, day);
        string range = expected.High - expected.Low < 0.05 ? "" : Invariant($" ({expected.Low:0.0} to {expected.High:0.0})");
        text.AppendLine(Invariant($"  Vapour of fluid {fluid.Name} expected at {expected.Celsius:0.0} degC{range}, at {day:0} hPa"));
        foreach (SpecFault fault in SpecAgainstCell.Check(spec, new CellAbilities { UsualAmbientHectopascal = day }))
        {
            text.AppendLine($"  At this pressure: {fault.Problem}");
        }
    }

    /// <summary>Notes of the run, and the readings that no figure holds though they are in the file.</summary>
    private static void NotJudged(StringBuilder text, RecordedRun recorded)
    {
        foreach (string note in recorded.Run.Notes)
        {
            text.AppendLine($"  Note: {note}");
        }

        foreach (IGrouping<string, SpikeEvent> spikes in recorded.Events.OfType<SpikeEvent>().GroupBy(e => e.ChannelId))
        {
            int count = spikes.Count();
            string times = string.Join(", ", spikes.Take(SpikesTold).Select(e => Invariant($"{e.Reading.Time.SecondsSince(recorded.Origin):0.##}")));
            text.AppendLine(Invariant(
                $"  Not judged: {count} single reading{(count == 1 ? "" : "s")} of {spikes.Key} far from both neighbours, at {times} s{(count > SpikesTold ? " and later" : "")}"));
        }
    }

    private static void Rows(StringBuilder text, IEnumerable<FigureResult> figures, int channelWidth)
    {
        foreach (FigureResult figure in figures)
        {
            string limits = (figure.Lower, figure.Upper) switch
            {
                (null, null) => "",
                ({ } lower, null) => Invariant($"at least {lower:0.###}"),
                (null, { } upper) => Invariant($"at most {upper:0.###}"),
                ({ } lower, { } upper) => Invariant($"{lower:0.###} to {upper:0.###}"),
            };
            string decided = figure.DecidedBy is { } channel ? $" by {channel}" : "";
            string verdict = figure.Severity == Severity.Warn && figure.Verdict == Verdict.Fail ? "warn" : Judgement.Name(figure.Verdict) ?? "";
            text.AppendLine(Invariant(
                $"  {figure.Figure,-21} {(figure.ChannelId ?? "").PadRight(channelWidth)} {Value(figure),-26} {Bar(figure.Value, figure.Lower, figure.Upper)} {limits,-14} {verdict}{decided}").TrimEnd());
        }
    }

    private static string Value(FigureResult figure)
    {
        string unit = figure.Unit == "1" ? "" : " " + figure.Unit;
        return figure switch
        {
            { Value: { } value, U: { } u } => Invariant($"{value:0.##} ± {u:0.##}{unit}"),
            { Value: { } value } => Invariant($"{value:0.##}{unit}"),
            { Low: { } low, High: { } high } => Invariant($"{low:0.##} to {high:0.##}{unit} ({figure.Reason})"),
            { Low: { } low } => Invariant($"at least {low:0.##}{unit} ({figure.Reason})"),
            { High: { } high } => Invariant($"at most {high:0.##}{unit} ({figure.Reason})"),
            _ => $"- ({figure.Reason})",
        };
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
