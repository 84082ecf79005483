using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Rejudging;

/// <summary>A run judged once more, with whose boards it was and what was decided of them.</summary>
/// <param name="Run">Its number.</param>
/// <param name="Carrier">Its carrier.</param>
/// <param name="Start">When it began, RFC 3339.</param>
/// <param name="Product">What was soldered; null if nobody said.</param>
/// <param name="Serials">Serial numbers of its boards.</param>
/// <param name="Before">Verdict of then.</param>
/// <param name="After">Verdict of now.</param>
/// <param name="Decision">What was decided last; null: nothing.</param>
/// <param name="Changed">What it is judged by that it was not judged by then.</param>
/// <param name="Reasons">Why the verdict of now is not a pass.</param>
/// <param name="Moved">Figures that came out otherwise, those without a limit counted in.</param>
/// <param name="Figures">Those of them that have a limit.</param>
/// <param name="Problem">Why it could not be judged once more.</param>
internal sealed record RejudgedRunShape(
    long Run, string? Carrier, string? Start, string? Product, IReadOnlyList<string> Serials, string? Before, string? After, string? Decision,
    IReadOnlyList<FieldChange> Changed, IReadOnlyList<string> Reasons, int Moved, IReadOnlyList<FigureShiftShape> Figures, string? Problem)
{
    /// <summary>Puts the runs' papers to what came out.</summary>
    public static IReadOnlyList<RejudgedRunShape> Of(RunCatalogue catalogue, int cell, IReadOnlyList<RejudgedRun> runs)
    {
        IReadOnlyDictionary<long, RunRecord> records = catalogue.Book.Records(cell, runs.Select(r => r.Run));
        IReadOnlyDictionary<long, Decision> decisions = catalogue.Book.Standing(cell, runs.Select(r => r.Run));
        Dictionary<long, RunHead> heads = catalogue.Heads(cell, runs.Select(r => r.Run)).ToDictionary(h => h.Number);
        return
        [
            .. runs.Select(judged =>
            {
                RunHead? head = heads.GetValueOrDefault(judged.Run);
                RunRecord record = records.GetValueOrDefault(judged.Run, RunRecord.Empty);
                return new RejudgedRunShape(
                    judged.Run, head?.Carrier, head?.Start.ToString(), record.Product, record.Serials, Word(judged.Before), Word(judged.After),
                    decisions.GetValueOrDefault(judged.Run) is { } decision ? Words.Of(decision.Kind) : null,
                    judged.Changed, judged.Reasons, judged.Moved, [.. judged.Figures.Select(FigureShiftShape.Of)], judged.Problem);
            }),
        ];
    }

    internal static string? Word(Verdict? verdict) => verdict is { } known ? Words.Of(known) : null;
}

/// <param name="Figure">Its name.</param>
/// <param name="Channel">Its channel; null for one of the carrier or the chamber.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Before">As judged then.</param>
/// <param name="After">As judged now.</param>
internal sealed record FigureShiftShape(string Figure, string? Channel, string Unit, FigureSideShape? Before, FigureSideShape? After)
{
    public static FigureShiftShape Of(FigureShift shift) =>
        new(shift.Figure, shift.Channel, shift.Unit, FigureSideShape.Of(shift.Before), FigureSideShape.Of(shift.After));
}

internal sealed record FigureSideShape(double? Value, double? Lower, double? Upper, string? Verdict, string? Reason)
{
    public static FigureSideShape? Of(FigureSide? side) =>
        side is null ? null : new(side.Value, side.Lower, side.Upper, RejudgedRunShape.Word(side.Verdict), side.Reason);
}
