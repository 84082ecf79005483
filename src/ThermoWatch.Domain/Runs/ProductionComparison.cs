using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>How a run without product sensors compares with released ones. The words pass and fail do not occur.</summary>
public enum Likeness
{
    /// <summary>Every figure that can be compared lies in its band, or no further outside than chance takes single figures of good runs.</summary>
    Consistent,

    /// <summary>At least one lies further off: a person decides.</summary>
    Differs,

    /// <summary>There is too little to compare it with.</summary>
    NotComparable,
}

/// <summary>What must be the same for two production runs to be comparable.</summary>
/// <param name="Product">What was soldered.</param>
/// <param name="SpecName">Spec.</param>
/// <param name="SpecVersion">Its version.</param>
/// <param name="Recipe">Recipe of the machine; null if it is not read.</param>
/// <param name="Load">Boards on the carrier; null if nobody said.</param>
public sealed record ProductionKey(string? Product, string? SpecName, int? SpecVersion, int? Recipe, int? Load);

/// <summary>A run of the past that a person has released as a reference, or one to be compared with them.</summary>
/// <param name="Number">Number of the run in its cell.</param>
/// <param name="Start">When it began.</param>
/// <param name="Key">What it was.</param>
/// <param name="Figures">Its figures.</param>
public sealed record ProductionRun(long Number, Timestamp Start, ProductionKey Key, ImmutableArray<FigureResult> Figures);

/// <summary>One figure against its band.</summary>
/// <param name="Figure">Its name.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Value">This run's; null if it has none although released runs do.</param>
/// <param name="Median">Median of the released runs.</param>
/// <param name="Low">Lower end of the band.</param>
/// <param name="High">Upper end of the band.</param>
/// <param name="Runs">How many released runs it rests on.</param>
/// <param name="Inside">Whether the value lies in the band.</param>
/// <param name="Apart">Whether it is missing, or lies further off than chance takes single figures of good runs: then the run differs.</param>
public sealed record FigureBand(string Figure, string Unit, double? Value, double Median, double Low, double High, int Runs, bool Inside, bool Apart);

/// <summary>A production run held against released ones.</summary>
/// <param name="Result">What came out.</param>
/// <param name="Runs">How many released runs were comparable.</param>
/// <param name="Figures">Each figure that could be compared; those outside first, the furthest first.</param>
/// <param name="Reason">Why nothing, or not everything, could be compared; null if everything could.</param>
public sealed record ProductionComparison(Likeness Result, int Runs, ImmutableArray<FigureBand> Figures, string? Reason)
{
    /// <summary>Fewer released runs than this say nothing about what is usual.</summary>
    public const int FewestRuns = 5;

    /// <summary>Turns a median absolute deviation into a standard deviation, for normal data: 1 / Φ⁻¹(3/4).</summary>
    public const double RobustSpread = 1.4826;

    /// <summary>Figures that need no product channel, and the trend each belongs to.</summary>
    private static readonly Dictionary<string, FigureGroups> Compared = new()
    {
        ["vapourPlateau"] = FigureGroups.Vapour,
        ["vapourResidual"] = FigureGroups.Vapour,
        ["vapourDip"] = FigureGroups.Vapour,
        ["vapourRecovery"] = FigureGroups.Vapour,
        ["timeInVapour"] = FigureGroups.Vapour,
        ["transportSoak"] = FigureGroups.Transport,
        ["transportSoakTime"] = FigureGroups.Transport,
        ["cycleTime"] = FigureGroups.None,
        ["pumpDownTime"] = FigureGroups.Vacuum,
        ["lowestPressure"] = FigureGroups.Vacuum,
        ["vacuumHold"] = FigureGroups.Vacuum,
        ["steepestEvacuation"] = FigureGroups.Vacuum,
        ["ventTime"] = FigureGroups.Vacuum,
        ["steepestVent"] = FigureGroups.Vacuum,
        ["voidExpansion"] = FigureGroups.Vacuum,
        ["evacuations"] = FigureGroups.None,
    };

    /// <summary>The trend a figure belongs to; null if production runs are not compared by it.</summary>
    public static FigureGroups? GroupOf(string figure) => Compared.TryGetValue(figure, out FigureGroups group) ? group : null;

    /// <summary>Holds a run against the released ones that are comparable with it.</summary>
    /// <param name="run">The run.</param>
    /// <param name="released">Runs that a person has released as references; the run itself does not count among them.</param>
    /// <param name="service">The machine's service log: a figure is compared only with runs since the last work that touched it.</param>
    public static ProductionComparison Of(ProductionRun run, IEnumerable<ProductionRun> released, IEnumerable<ServiceEntry> service)
    {
        ArgumentNullException.ThrowIfNull(run);
        List<ProductionRun> all = [.. released.Where(r => r.Number != run.Number && r.Start < run.Start).OrderBy(r => r.Start)];
        List<ProductionRun> alike = [.. all.Where(r => r.Key == run.Key)];
        if (alike.Count < FewestRuns)
        {
            return new ProductionComparison(Likeness.NotComparable, alike.Count, [], TooFew(run, all, alike.Count));
        }

        List<ServiceEntry> log = [.. service.Where(e => e.Time < run.Start)];
        List<(string Figure, ComparedFigure?[] Usual)> compared = [];
        ServiceEntry? broke = null;
        foreach ((string figure, FigureGroups group) in Compared)
        {
            ServiceEntry? last = log.Where(e => (e.Touches & group) != 0).MaxBy(e => e.Time);
            ComparedFigure?[] usual = [.. alike.Select(r => last is null || r.Start > last.Time ? Compare(r, figure) : null)];
            if (usual.Count(u => u is not null) >= FewestRuns)
            {
                compared.Add((figure, usual));
            }
            else if (last is not null && alike.Any(r => Compare(r, figure) is not null) && (broke is null || last.Time > broke.Time))
            {
                broke = last;
            }
        }

        double explained = UsualDistance.Greatest([.. Enumerable.Range(0, alike.Count).Select(i => compared.Select(c => c.Usual[i]).ToArray())]);
        List<FigureBand> bands = [.. compared.Select(c => Band(c.Figure, run, alike, c.Usual, explained)).OrderByDescending(Distance)];
        Likeness result = bands.Count == 0 ? Likeness.NotComparable : bands.TrueForAll(b => !b.Apart) ? Likeness.Consistent : Likeness.Differs;
        return new ProductionComparison(result, alike.Count, [.. bands], ReasonOf(result, bands, broke));
    }

    private static string? ReasonOf(Likeness result, List<FigureBand> bands, ServiceEntry? broke)
    {
        List<string> said = [];
        if (broke is not null)
        {
            said.Add($"Fewer than {FewestRuns} released runs since the service entry of {broke.Time} ({Word(broke.Kind)}): the figures it touches were not compared.");
        }
        else if (bands.Count == 0)
        {
            said.Add("The released runs have no figure that this one could be compared by.");
        }

        if (result == Likeness.Consistent && bands.Exists(b => !b.Inside))
        {
            said.Add($"Outside its band, but no further than single figures of the released runs lie from the rest: {string.Join(", ", bands.Where(b => !b.Inside).Select(b => b.Figure))}.");
        }

        return said.Count == 0 ? null : string.Join(' ', said);
    }

    private static FigureBand Band(string figure, ProductionRun run, List<ProductionRun> alike, ComparedFigure?[] usual, double explained)
    {
        FigureResult? mine = Find(run, figure);
        string unit = (mine ?? alike.Select(r => Find(r, figure)).OfType<FigureResult>().First()).Unit;
        double[] values = [.. usual.OfType<ComparedFigure>().Select(u => u.Value)];
        (double median, double half) = UsualDistance.Band(values, mine?.U ?? 0);
        bool inside = mine?.Value is { } value && Math.Abs(value - median) <= half;
        bool apart = !inside && !(mine?.Value is { } off && UsualDistance.Of(off, median, half) <= explained);
        return new FigureBand(figure, unit, mine?.Value, median, median - half, median + half, values.Length, inside, apart);
    }

    private static string TooFew(ProductionRun run, List<ProductionRun> all, int alike)
    {
        int otherLoad = all.Count(r => r.Key with { Load = run.Key.Load } == run.Key && r.Key.Load != run.Key.Load);
        string found = alike == 1 ? "There is 1 released run" : $"There are {alike} released runs";
        string load = otherLoad > 0 ? $" {otherLoad} more had another load and cannot be compared." : "";
        return $"{found} of this product, spec, recipe and load; {FewestRuns} are needed.{load}";
    }

    private static FigureResult? Find(ProductionRun run, string figure) => run.Figures.FirstOrDefault(f => f.Figure == figure && f.ChannelId is null);

    private static ComparedFigure? Compare(ProductionRun run, string figure) => Find(run, figure) is { Value: { } value } found ? new ComparedFigure(value, found.U ?? 0) : null;

    // A value that is missing is as far away as anything can be.
    private static double Distance(FigureBand band) =>
        band.Value is { } value ? Math.Abs(value - band.Median) / Math.Max(band.High - band.Median, double.Epsilon) : double.PositiveInfinity;

    private static string Word(ServiceKind kind) => kind.ToString().ToLowerInvariant();
}
