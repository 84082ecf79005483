using System.Collections.Immutable;

namespace ThermoWatch.Domain.Figures;

/// <summary>One verdict from all figures of a run.</summary>
internal static class RunVerdict
{
    /// <summary>The verdict, and why it is not a pass, most important first.</summary>
    /// <param name="figures">All figures of the ended run.</param>
    /// <param name="hasLimits">Whether the spec has any limit.</param>
    /// <param name="runReasons">Reasons of the run itself, such as an evacuation that nobody asked for.</param>
    public static (Verdict Verdict, ImmutableArray<string> Reasons) Of(
        ImmutableArray<FigureResult> figures, bool hasLimits, IReadOnlyList<string> runReasons)
    {
        var reasons = ImmutableArray.CreateBuilder<string>();
        Collect(reasons, figures, Verdict.Fail);
        bool failed = reasons.Count > 0;
        int before = reasons.Count;
        Collect(reasons, figures, Verdict.Undetermined);
        reasons.AddRange(runReasons);
        if (!hasLimits)
        {
            reasons.Add("noLimits");
        }

        Verdict verdict = failed ? Verdict.Fail : reasons.Count > before ? Verdict.Undetermined : Verdict.Pass;
        return (verdict, reasons.ToImmutable());
    }

    private static void Collect(ImmutableArray<string>.Builder reasons, ImmutableArray<FigureResult> figures, Verdict verdict)
    {
        foreach (FigureResult figure in figures)
        {
            if (figure.Verdict == verdict && figure.Severity == Severity.Fail)
            {
                string where = figure.ChannelId is { } channel ? $"{figure.Figure}/{channel}" : figure.Figure;
                reasons.Add(figure.Reason is { } reason ? $"{where}:{reason}" : where);
            }
        }
    }
}
