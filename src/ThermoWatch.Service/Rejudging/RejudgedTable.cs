using System.Globalization;
using ThermoWatch.Domain.Runs;

namespace ThermoWatch.Service.Rejudging;

/// <summary>A re-judgement for people: which runs, whose boards, what they were and are.</summary>
internal static class RejudgedTable
{
    public static void Write(
        TextWriter output, RejudgeOrder order, IReadOnlyCollection<RejudgedRun> all, IReadOnlyList<RejudgedRunShape> listed, double seconds, long? number)
    {
        foreach (FieldChange asked in order.Asked)
        {
            output.WriteLine($"{asked.Field}: {asked.To}");
        }

        foreach (RejudgedRunShape run in listed)
        {
            string boards = run.Serials.Count == 0 ? "no serials" : string.Join(" ", run.Serials);
            output.WriteLine(
                $"  run {run.Run}, carrier {run.Carrier}, {run.Start}: {run.Before ?? "-"} -> {(run.Problem is null ? run.After ?? "-" : "not judged")}; "
                + $"{run.Product ?? "product not said"}; {boards}; {(run.Decision is { } decision ? $"decided: {decision}" : "no decision")}");
            if (run.Problem is { } problem)
            {
                output.WriteLine("    " + problem);
            }

            foreach (FieldChange changed in run.Changed)
            {
                output.WriteLine($"    by {changed.Field}: {changed.From ?? "none"} -> {changed.To ?? "none"}");
            }

            foreach (FigureShiftShape shift in run.Figures.Where(f => f.Before?.Verdict != f.After?.Verdict))
            {
                output.WriteLine($"    {shift.Figure}{(shift.Channel is { } channel ? $" {channel}" : "")}: {Side(shift.Before, shift.Unit)} -> {Side(shift.After, shift.Unit)}");
            }
        }

        string[] boardsOfOther = [.. listed.Where(r => r.Problem is null && r.Before != r.After).SelectMany(r => r.Serials).Distinct()];
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{all.Count} runs judged once more in {seconds:0.#} s: {all.Count(r => r.IsOther)} with another verdict ({boardsOfOther.Length} boards), {all.Count(r => r.Problem is not null)} not judged."));
        output.WriteLine(number is { } kept ? $"Kept as re-judgement {kept}. The verdicts of then stay." : "The verdicts of then stay; nothing was kept.");
    }

    private static string Side(FigureSideShape? side, string unit) => side switch
    {
        null => "not asked",
        { Value: { } value } => string.Create(CultureInfo.InvariantCulture, $"{value:0.###} {unit}{Limits(side)} {side.Verdict}"),
        _ => $"{side.Reason ?? "unknown"}{Limits(side)} {side.Verdict}",
    };

    private static string Limits(FigureSideShape side) => (side.Lower, side.Upper) switch
    {
        ({ } lower, { } upper) => string.Create(CultureInfo.InvariantCulture, $" ({lower:0.###} to {upper:0.###})"),
        ({ } lower, null) => string.Create(CultureInfo.InvariantCulture, $" (at least {lower:0.###})"),
        (null, { } upper) => string.Create(CultureInfo.InvariantCulture, $" (at most {upper:0.###})"),
        _ => "",
    };
}
