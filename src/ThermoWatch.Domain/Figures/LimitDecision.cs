using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Figures;

/// <summary>Holds one figure against one limit.</summary>
internal static class LimitDecision
{
    /// <summary>The verdict of an outcome under a limit, and its reason if that is undetermined.</summary>
    /// <param name="outcome">What the record says.</param>
    /// <param name="limit">The limit.</param>
    /// <param name="expandedUncertainty">U; null if not known.</param>
    /// <param name="rule">How a value near its limit is decided.</param>
    public static (Verdict Verdict, string? Reason) Decide(in Outcome outcome, Limit limit, double? expandedUncertainty, DecisionRule rule)
    {
        if (outcome.EventMissing)
        {
            return (Verdict.Fail, outcome.Reason);
        }

        if (!outcome.HasBounds)
        {
            return (Verdict.Undetermined, outcome.Reason);
        }

        double guard = rule == DecisionRule.Guarded ? expandedUncertainty ?? 0 : 0;
        double lower = limit.Lower ?? double.NegativeInfinity;
        double upper = limit.Upper ?? double.PositiveInfinity;
        if (outcome.Low - guard >= lower && outcome.High + guard <= upper)
        {
            return (Verdict.Pass, outcome.Reason);
        }

        if (outcome.High + guard < lower || outcome.Low - guard > upper)
        {
            return (Verdict.Fail, outcome.Reason);
        }

        return (Verdict.Undetermined, outcome.HasValue ? FigureReasons.WithinUncertainty : outcome.Reason);
    }

    /// <summary>Distance to the nearer limit, negative outside; null without a value.</summary>
    public static double? Margin(in Outcome outcome, Limit limit)
    {
        if (!outcome.HasValue)
        {
            return null;
        }

        double margin = Math.Min(
            outcome.Low - (limit.Lower ?? double.NegativeInfinity), (limit.Upper ?? double.PositiveInfinity) - outcome.Low);
        return double.IsFinite(margin) ? margin : null;
    }

    /// <summary>One line of a judgement.</summary>
    public static FigureResult ToResult(
        FigureDefinition figure, string? channelId, in Outcome outcome, Limit? limit, Spec? spec, double? uncertainty, bool final, string? decidedBy)
    {
        (Verdict Verdict, string? Reason) decision = limit is null
            ? (default, outcome.Reason)
            : Decide(outcome, limit, uncertainty, limit.Uncertainty ?? spec!.Uncertainty);
        return new FigureResult
        {
            Figure = figure.Name,
            ChannelId = channelId,
            Unit = figure.Unit,
            Value = outcome.HasValue ? outcome.Low : null,
            Low = outcome.HasValue || !double.IsFinite(outcome.Low) ? null : outcome.Low,
            High = outcome.HasValue || !double.IsFinite(outcome.High) ? null : outcome.High,
            Lower = limit?.Lower,
            Upper = limit?.Upper,
            Verdict = final && limit is not null ? decision.Verdict : null,
            Reason = final ? decision.Reason : outcome.Reason,
            Notes = Notes(outcome, uncertainty, final),
            Margin = limit is null ? null : Margin(outcome, limit),
            U = uncertainty,
            Severity = limit?.Severity,
            DecidedBy = decidedBy,
            Final = final,
        };
    }

    private static System.Collections.Immutable.ImmutableArray<string> Notes(in Outcome outcome, double? uncertainty, bool final)
    {
        string? unsure = final && outcome.HasValue && uncertainty is null ? "noUncertainty" : null;
        return (outcome.Note, unsure) switch
        {
            (null, null) => [],
            ({ } note, null) => [note],
            (null, { } other) => [other],
            ({ } note, { } other) => [note, other],
        };
    }
}
