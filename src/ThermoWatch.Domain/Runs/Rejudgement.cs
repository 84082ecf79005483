using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>A figure that came out otherwise.</summary>
/// <param name="Figure">Its name.</param>
/// <param name="Channel">Its channel; null for one of the carrier or the chamber.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Before">What was judged then; null if there was no such figure.</param>
/// <param name="After">What is judged now; null if there is no such figure.</param>
public sealed record FigureShift(string Figure, string? Channel, string Unit, FigureSide? Before, FigureSide? After);

/// <summary>A figure on one side of a comparison.</summary>
/// <param name="Value">Its value; null unless known.</param>
/// <param name="Lower">Lower limit; null if none.</param>
/// <param name="Upper">Upper limit; null if none.</param>
/// <param name="Verdict">Against its limits; null without any.</param>
/// <param name="Reason">Why there is no value; null if there is one.</param>
public sealed record FigureSide(double? Value, double? Lower, double? Upper, Verdict? Verdict, string? Reason)
{
    internal static FigureSide Of(FigureResult figure) => new(figure.Value, figure.Lower, figure.Upper, figure.Verdict, figure.Reason);
}

/// <summary>A run of the record judged once more, beside what was judged then.</summary>
/// <param name="Run">Its number.</param>
/// <param name="Changed">What is judged by other rules than then: spec, calibrations, algorithm.</param>
/// <param name="Before">Verdict of then; null without product sensors.</param>
/// <param name="After">Verdict of now; null without product sensors, and if it could not be judged.</param>
/// <param name="Reasons">Why the verdict of now is not a pass.</param>
/// <param name="Figures">Figures with a limit that came out otherwise, or are held against another limit.</param>
public sealed record RejudgedRun(
    long Run, ImmutableArray<FieldChange> Changed, Verdict? Before, Verdict? After, ImmutableArray<string> Reasons, ImmutableArray<FigureShift> Figures)
{
    /// <summary>Why it could not be judged once more; null if it was.</summary>
    public string? Problem { get; init; }

    /// <summary>Figures that came out otherwise, those without a limit counted in.</summary>
    public int Moved { get; init; }

    /// <summary>Whether the verdict is another than it was.</summary>
    public bool IsOther => Problem is null && Before != After;

    /// <summary>Puts both judgements of a run side by side.</summary>
    /// <param name="changed">What is judged by other rules.</param>
    /// <param name="before">Verdict of then.</param>
    /// <param name="figures">Figures of then.</param>
    /// <param name="now">The run as it is judged now, with the number that it has in the record.</param>
    public static RejudgedRun Of(ImmutableArray<FieldChange> changed, Verdict? before, ImmutableArray<FigureResult> figures, RunPicture now)
    {
        ArgumentNullException.ThrowIfNull(now);
        var shifts = ImmutableArray.CreateBuilder<FigureShift>();
        List<FigureResult> left = [.. now.Figures];
        int moved = 0;
        foreach (FigureResult then in figures)
        {
            FigureResult? match = Take(left, then);
            if (match is null || !IsSame(then, match))
            {
                moved++;
                Add(then, match);
            }
        }

        foreach (FigureResult fresh in left)
        {
            moved++;
            Add(null, fresh);
        }

        return new RejudgedRun(now.Number, changed, before, now.Verdict, now.Reasons, shifts.ToImmutable()) { Moved = moved };

        void Add(FigureResult? then, FigureResult? after)
        {
            FigureResult any = (then ?? after)!;
            if (then?.Verdict is not null || after?.Verdict is not null)
            {
                shifts.Add(new FigureShift(
                    any.Figure, any.ChannelId, any.Unit, then is null ? null : FigureSide.Of(then), after is null ? null : FigureSide.Of(after)));
            }
        }
    }

    /// <summary>The figure of now that answers to one of then: with the same limits, or else the next of the same name and channel.</summary>
    private static FigureResult? Take(List<FigureResult> left, FigureResult then)
    {
        int best = -1;
        for (int i = 0; i < left.Count; i++)
        {
            if (left[i].Figure != then.Figure || left[i].ChannelId != then.ChannelId)
            {
                continue;
            }

            if (left[i].Lower == then.Lower && left[i].Upper == then.Upper)
            {
                best = i;
                break;
            }

            best = best < 0 ? i : best;
        }

        if (best < 0)
        {
            return null;
        }

        FigureResult found = left[best];
        left.RemoveAt(best);
        return found;
    }

    private static bool IsSame(FigureResult a, FigureResult b) =>
        (a.Value, a.Low, a.High, a.Lower, a.Upper, a.Verdict, a.Reason, a.U) == (b.Value, b.Low, b.High, b.Lower, b.Upper, b.Verdict, b.Reason, b.U);
}

/// <summary>Runs of a cell judged once more, by whom and why: it stands beside the verdicts of then and changes none of them.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="Number">Its own number in the cell, from 1.</param>
/// <param name="Time">When.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Reason">Why.</param>
/// <param name="Software">Name and version of the program.</param>
/// <param name="Algorithm">Version of the rules by which figures are computed.</param>
/// <param name="Asked">What it was asked to judge by, field by field; empty: only by this program.</param>
/// <param name="Runs">Every run that was looked at, by number.</param>
public sealed record Rejudgement(
    int Cell, long Number, Timestamp Time, string By, string Reason, string Software, string Algorithm,
    ImmutableArray<FieldChange> Asked, ImmutableArray<RejudgedRun> Runs);
