using System.Collections.Immutable;
using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Catalogue;

namespace ThermoWatch.Service.Rejudging;

/// <summary>What runs of the record are to be judged by, and which. With nothing in it: by this program's own algorithm.</summary>
internal sealed record RejudgeOrder
{
    /// <summary>Spec for the runs that were judged by one of the same name, or by none; runs of other specs keep theirs.</summary>
    public Spec? Spec { get; init; }

    /// <summary>Calibrations that take the place of a channel's own, as if they had always held.</summary>
    public IReadOnlyDictionary<string, Calibration> Calibrations { get; init; } = ImmutableDictionary<string, Calibration>.Empty;

    /// <summary>By how much a channel showed too much beside its own calibration, in its unit.</summary>
    public IReadOnlyDictionary<string, double> ReadHigh { get; init; } = ImmutableDictionary<string, double>.Empty;

    /// <summary>Only runs that end after this; null: from the first.</summary>
    public Timestamp? From { get; init; }

    /// <summary>Only runs that begin before this; null: to the last.</summary>
    public Timestamp? To { get; init; }

    /// <summary>Only this run; null: all.</summary>
    public long? Run { get; init; }

    /// <summary>The same in words, for the record.</summary>
    public ImmutableArray<FieldChange> Asked =>
    [
        .. Spec is null ? [] : new[] { new FieldChange("spec", null, SpecText(Spec.Name, Spec.Version)) },
        .. Calibrations.Select(c => new FieldChange($"calibration {c.Key}", null, Text(c.Value))),
        .. ReadHigh.Select(c => new FieldChange($"calibration {c.Key}", null, Invariant($"read {c.Value:+0.###;-0.###} too high"))),
        .. From is { } from ? new[] { new FieldChange("from", null, from.ToString()) } : [],
        .. Run is { } run ? new[] { new FieldChange("run", null, run.ToString(CultureInfo.InvariantCulture)) } : [],
        .. To is { } to ? new[] { new FieldChange("to", null, to.ToString()) } : [],
    ];

    /// <summary>Channels that it names and a cell does not have.</summary>
    public IEnumerable<string> UnknownIn(CellDefinition cell) =>
        Calibrations.Keys.Concat(ReadHigh.Keys).Where(id => !cell.Channels.Any(c => c.Id == id)).Distinct();

    /// <summary>The cell of then with the calibrations to judge by.</summary>
    public CellDefinition Apply(CellDefinition cell) => cell with
    {
        Channels =
        [
            .. cell.Channels.Select(channel => Calibrations.TryGetValue(channel.Id, out Calibration? given)
                ? channel with { Conversion = channel.Conversion with { Calibrations = CalibrationHistory.Always(given) } }
                : ReadHigh.TryGetValue(channel.Id, out double high)
                    ? channel with { Conversion = channel.Conversion with { Calibrations = Lowered(channel.Conversion.Calibrations, high) } }
                    : channel),
        ],
    };

    /// <summary>Whether a run's own spec gives way to another.</summary>
    public bool Replaces(RunRow run) => Spec is not null && (run.SpecName is null || run.SpecName == Spec.Name);

    /// <summary>What a run is judged by that it was not judged by then.</summary>
    /// <param name="run">The run.</param>
    /// <param name="cell">The cell as it was wired then.</param>
    /// <param name="algorithm">Version of the rules of now.</param>
    public ImmutableArray<FieldChange> ChangesOf(RunRow run, CellDefinition cell, string algorithm)
    {
        var changes = ImmutableArray.CreateBuilder<FieldChange>();
        if (Replaces(run) && (run.SpecName, run.SpecVersion) != (Spec!.Name, Spec.Version))
        {
            changes.Add(new FieldChange("spec", run.SpecName is null ? null : SpecText(run.SpecName, run.SpecVersion), SpecText(Spec.Name, Spec.Version)));
        }

        foreach (ChannelDefinition channel in cell.Channels)
        {
            string? after = Calibrations.TryGetValue(channel.Id, out Calibration? given) ? Text(given)
                : ReadHigh.TryGetValue(channel.Id, out double high) ? Invariant($"{-high:+0.###;-0.###;0} beside its own")
                : null;
            if (after is not null)
            {
                changes.Add(new FieldChange($"calibration {channel.Id}", channel.Conversion.Calibrations.At(run.Start) is { } own ? Text(own) : null, after));
            }
        }

        if (run.Algorithm != algorithm)
        {
            changes.Add(new FieldChange("algorithm", run.Algorithm, algorithm));
        }

        return changes.ToImmutable();
    }

    private static CalibrationHistory Lowered(CalibrationHistory own, double high)
    {
        List<Calibration> lowered = [.. own.Calibrations.Select(c => new Calibration([.. c.Points.Select(p => p with { Reference = p.Reference - high })])
        {
            Version = c.Version,
            ValidFrom = c.ValidFrom,
            Due = c.Due,
            Certificate = c.Certificate,
            ExpandedUncertainty = c.ExpandedUncertainty,
            CoverageFactor = c.CoverageFactor,
        })];

        // Before the first calibration, and without any, the channel showed what the instrument gave.
        if (lowered.Count == 0 || lowered[0].ValidFrom.UtcTicks > 0)
        {
            lowered.Insert(0, new Calibration([new CalibrationPoint(0, -high)]) { Version = int.MinValue, ValidFrom = new Timestamp(0) });
        }

        return new CalibrationHistory(lowered);
    }

    private static string SpecText(string name, int? version) => Invariant($"{name}, version {version}");

    private static string Text(Calibration calibration)
    {
        string points = string.Join(", ", calibration.Points.Select(p => Invariant($"{p.Reference - p.Indicated:+0.###;-0.###;0} at {p.Indicated:0.###}")));
        return calibration.Certificate.Length > 0 ? $"{calibration.Certificate}: {points}" : points;
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
