using System.Diagnostics.CodeAnalysis;
using System.Text.Json.Serialization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>A page of runs.</summary>
/// <param name="Runs">Newest first.</param>
/// <param name="Next">Ask with <c>before</c> = this for older ones; null at the end.</param>
internal sealed record RunList(IReadOnlyList<ListedRun> Runs, long? Next);

/// <summary>Name and version of a spec.</summary>
internal sealed record SpecName(string Name, int Version);

/// <summary>What is said of a run wherever it is named.</summary>
internal record RunSummary
{
    /// <summary>Number of the cell.</summary>
    public required int Cell { get; init; }

    /// <summary>Number of the run in its cell.</summary>
    public required long Number { get; init; }

    /// <summary>Its carrier.</summary>
    public required string Carrier { get; init; }

    /// <summary>RFC 3339.</summary>
    public required string Start { get; init; }

    /// <summary>RFC 3339; null while it goes on.</summary>
    public string? End { get; init; }

    /// <summary>Which rule ended it; null while it goes on.</summary>
    public string? EndReason { get; init; }

    /// <summary>What it is judged by; null without a spec.</summary>
    public SpecName? Spec { get; init; }

    /// <summary>pass, fail, undetermined; null while it goes on and without a spec.</summary>
    public string? Verdict { get; init; }

    /// <summary>Why the verdict is not a pass.</summary>
    public required IReadOnlyList<string> Reasons { get; init; }

    /// <summary>What must be known with it, such as <c>warmStart</c>.</summary>
    public required IReadOnlyList<string> Notes { get; init; }

    /// <summary>What was soldered; null if nobody has said.</summary>
    public string? Product { get; init; }

    /// <summary>Serial numbers of the boards.</summary>
    public required IReadOnlyList<string> Serials { get; init; }

    /// <summary>profile, verification, production, empty or maintenance.</summary>
    public required string Kind { get; init; }

    /// <summary>Recipe of the machine, as people or its register say; null if neither does.</summary>
    public int? Recipe { get; init; }

    /// <summary>Boards on the carrier, as people or the machine say; null if neither does.</summary>
    public int? Load { get; init; }

    /// <summary>Which rule began it.</summary>
    public required string StartReason { get; init; }

    /// <summary>The decision that stands; null while there is none.</summary>
    public DecisionShape? Decision { get; init; }

    public static RunSummary Of(RunRow row, RunRecord record, Decision? decision) => new()
    {
        Cell = row.Cell,
        Number = row.Number,
        Carrier = row.Carrier,
        Start = row.Start.ToString(),
        End = row.End?.ToString(),
        EndReason = row.EndReason,
        Spec = row is { SpecName: { } name, SpecVersion: { } version } ? new SpecName(name, version) : null,
        Verdict = row.Verdict is { } verdict ? Words.Of(verdict) : null,
        Reasons = [.. row.Reasons],
        Notes = [.. row.Notes],
        Product = record.Product,
        Serials = record.Serials,
        Kind = Words.Of(row.Kind),
        Recipe = record.Recipe ?? row.Recipe,
        Load = record.Load ?? row.Load,
        StartReason = row.StartReason,
        Decision = decision is null ? null : DecisionShape.Of(decision),
    };
}

/// <summary>A run in a list, with what can be drawn of it without its curves.</summary>
internal sealed record ListedRun : RunSummary
{
    [SetsRequiredMembers]
    private ListedRun(RunRow row, RunSummary summary)
        : base(summary)
    {
        Tightest = [.. row.Figures.Where(f => f.Lower is not null || f.Upper is not null)
            .GroupBy(f => (f.Figure, f.Lower, f.Upper))
            .Select(same => FigureShape.Of(same.MinBy(Room)!))];
        Phases = [.. row.Phases.Select(p => PhaseShape.Of(p, row))];
    }

    /// <summary>Of each limit the figure at the channel with the least room.</summary>
    public required IReadOnlyList<FigureShape> Tightest { get; init; }

    /// <summary>Phases, in the order in which they began.</summary>
    public required IReadOnlyList<PhaseShape> Phases { get; init; }

    public static ListedRun Of(RunRow row, RunSummary summary) => new(row, summary);

    // A limit that is missed comes before one of which nothing is known, and that before all that are met.
    private static double Room(FigureResult figure) => figure.Verdict switch
    {
        Domain.Figures.Verdict.Fail => -1e12 + (figure.Margin ?? 0),
        Domain.Figures.Verdict.Undetermined or null => -1e9,
        _ => figure.Margin ?? 1e9,
    };
}

/// <summary>All that is known of a run beside its curves.</summary>
internal sealed record RunDetail
{
    /// <summary>What the list says of it.</summary>
    public required RunSummary Run { get; init; }

    /// <summary>Every figure, with its limit if one asks for it.</summary>
    public required IReadOnlyList<FigureShape> Figures { get; init; }

    /// <summary>Phases, in the order in which they began.</summary>
    public required IReadOnlyList<PhaseShape> Phases { get; init; }

    /// <summary>Channels as they were wired then.</summary>
    public required IReadOnlyList<ChannelLayout> Channels { get; init; }

    /// <summary>Devices as they were read then.</summary>
    public required IReadOnlyList<DeviceLayout> Devices { get; init; }

    /// <summary>The spec with its levels; null if it is no longer the one in force here.</summary>
    public SpecLayout? SpecInForce { get; init; }

    /// <summary>The runs before and after it that its cell has.</summary>
    public long? Previous { get; init; }

    /// <summary>See <see cref="Previous"/>.</summary>
    public long? Next { get; init; }
}

/// <summary>A phase of a run.</summary>
/// <param name="Phase">Its name.</param>
/// <param name="Track">thermal or vacuum.</param>
/// <param name="StartSeconds">Seconds from the run's start.</param>
/// <param name="EndSeconds">The same; null if it had not ended.</param>
internal sealed record PhaseShape(
    string Phase, string Track, [property: JsonPropertyName("start_s")] double StartSeconds, [property: JsonPropertyName("end_s")] double? EndSeconds)
{
    public static PhaseShape Of(PhaseSpan phase, RunRow run) => new(
        phase.Name, Words.Of(phase.Track), phase.Start.SecondsSince(run.Start), phase.End?.SecondsSince(run.Start));
}

/// <summary>A figure, with the keys of a judgement.</summary>
internal sealed record FigureShape(
    string Figure, string? Channel, double? Value, double? Low, double? High, string Unit, double? Lower, double? Upper, string? Verdict, string? Reason,
    IReadOnlyList<string> Notes, double? Margin, [property: JsonPropertyName("U")] double? U, string? Severity, string? DecidedBy)
{
    public static FigureShape Of(FigureResult figure) => new(
        figure.Figure, figure.ChannelId, figure.Value, figure.Low, figure.High, figure.Unit, figure.Lower, figure.Upper,
        figure.Verdict is { } verdict ? Words.Of(verdict) : null, figure.Reason, [.. figure.Notes], figure.Margin, figure.U,
        figure.Severity is { } severity ? Words.Of(severity) : null, figure.DecidedBy);
}
