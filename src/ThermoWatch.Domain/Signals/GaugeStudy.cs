using System.Collections.Immutable;

namespace ThermoWatch.Domain.Signals;

/// <summary>One value of a study of how repeatable a measurement is.</summary>
/// <param name="Part">What was measured; for thermocouples a reference temperature.</param>
/// <param name="Appraiser">Who or what measured it; for thermocouples a technician, or one attachment of the sensor.</param>
/// <param name="Value">What was read, in the unit of the study.</param>
public readonly record struct GaugeTrial(string Part, string Appraiser, double Value);

/// <summary>What a study says of the measurement.</summary>
public enum GaugeVerdict
{
    /// <summary>Less than 10 % of the spread, and at least 5 distinct categories.</summary>
    Acceptable,

    /// <summary>10 to 30 % of the spread; or less than 10 % where fewer than 5 categories can be told apart.</summary>
    Conditional,

    /// <summary>More than 30 % of the spread.</summary>
    NotAcceptable,
}

/// <summary>Where the spread of a study comes from, as standard deviations in its unit.</summary>
/// <param name="Repeatability">The same appraiser, the same part, again.</param>
/// <param name="Reproducibility">Between appraisers, with what they do differently from part to part.</param>
/// <param name="PartVariation">Between parts.</param>
public sealed record GaugeSpread(double Repeatability, double Reproducibility, double PartVariation)
{
    /// <summary>Of the measurement: repeatability and reproducibility together.</summary>
    public double Gauge => double.Hypot(Repeatability, Reproducibility);

    /// <summary>Of everything.</summary>
    public double Total => double.Hypot(Gauge, PartVariation);

    /// <summary>Share of the measurement in the whole spread, %; 0 where nothing varies.</summary>
    public double GaugePercent => Total > 0 ? 100 * Gauge / Total : 0;

    /// <summary>Number of categories of parts that can be told apart: 1.41 times the ratio itself, cut off; null where the measurement does not vary at all.</summary>
    public int? DistinctCategories => Gauge > 0 ? (int)Math.Min(int.MaxValue, 1.41 * PartVariation / Gauge) : null;

    /// <summary>What that means.</summary>
    public GaugeVerdict Verdict => GaugePercent switch
    {
        > 30 => GaugeVerdict.NotAcceptable,
        >= 10 => GaugeVerdict.Conditional,
        _ => DistinctCategories is null or >= 5 ? GaugeVerdict.Acceptable : GaugeVerdict.Conditional,
    };

    /// <summary>The verdict in words.</summary>
    public string VerdictWords => Verdict switch
    {
        GaugeVerdict.Acceptable => "acceptable",
        GaugeVerdict.Conditional => "conditionally acceptable",
        _ => "not acceptable",
    };
}

/// <summary>Sums of squares of a study, and whether appraisers differ from part to part.</summary>
/// <param name="Parts">Sum of squares between parts.</param>
/// <param name="Appraisers">Sum of squares between appraisers.</param>
/// <param name="Interaction">Sum of squares of what is neither.</param>
/// <param name="Error">Sum of squares within cells.</param>
/// <param name="InteractionF">Mean square of the interaction by that of the error; infinite where nothing varies within cells.</param>
/// <param name="InteractionP">Probability of an F as large as this one if there is no interaction.</param>
/// <param name="Pooled">Whether the interaction was counted as error.</param>
public sealed record GaugeAnova(
    double Parts, double Appraisers, double Interaction, double Error, double InteractionF, double InteractionP, bool Pooled);

/// <summary>How repeatable and reproducible a measurement is: a crossed study, as AIAG's MSA manual (4th edition) evaluates it.</summary>
/// <remarks>Every appraiser measures every part equally often. What is not known is refused, not guessed.</remarks>
public sealed class GaugeStudy
{
    // 1/d2*: AIAG MSA manual, average-and-range form. K1 by trials, K2 by appraisers, K3 by parts.
    private static readonly double[] s_k1 = [0.8862, 0.5908];
    private static readonly double[] s_k2 = [0.7071, 0.5231];
    private static readonly double[] s_k3 = [0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146];

    private readonly double[][][] _values; // part, appraiser, trial
    private readonly double[] _partMeans;
    private readonly double[] _appraiserMeans;

    /// <param name="trials">All values, in any order.</param>
    /// <exception cref="ArgumentException">Fewer than two parts, appraisers or trials; not every pair equally often; a value that is no number.</exception>
    public GaugeStudy(IEnumerable<GaugeTrial> trials)
    {
        List<GaugeTrial> all = [.. trials];
        if (all.FindIndex(t => !double.IsFinite(t.Value)) is var wrong and >= 0)
        {
            throw new ArgumentException($"Value {wrong + 1} (part {all[wrong].Part}, appraiser {all[wrong].Appraiser}) is no number: measure it again or leave the part out.", nameof(trials));
        }

        Parts = [.. all.Select(t => t.Part).Distinct()];
        Appraisers = [.. all.Select(t => t.Appraiser).Distinct()];
        if (Parts.Length < 2 || Appraisers.Length < 2)
        {
            throw new ArgumentException($"A study needs at least 2 parts and 2 appraisers; this one has {Parts.Length} and {Appraisers.Length}.", nameof(trials));
        }

        ILookup<(string, string), double> cells = all.ToLookup(t => (t.Part, t.Appraiser), t => t.Value);
        Trials = cells.Max(c => c.Count());
        foreach (string part in Parts)
        {
            foreach (string appraiser in Appraisers)
            {
                if (cells[(part, appraiser)].Count() is var count && count != Trials)
                {
                    throw new ArgumentException($"Part {part} was measured {count} times by {appraiser}, others {Trials} times: every appraiser must measure every part equally often.", nameof(trials));
                }
            }
        }

        if (Trials < 2)
        {
            throw new ArgumentException("Every part was measured once: repeatability needs at least 2 trials by each appraiser.", nameof(trials));
        }

        _values = [.. Parts.Select(p => Appraisers.Select(a => cells[(p, a)].ToArray()).ToArray())];
        _partMeans = [.. _values.Select(p => p.Average(a => a.Average()))];
        _appraiserMeans = [.. Enumerable.Range(0, Appraisers.Length).Select(a => _values.Average(p => p[a].Average()))];
    }

    /// <summary>Parts, in the order in which they came.</summary>
    public ImmutableArray<string> Parts { get; }

    /// <summary>Appraisers, in the order in which they came.</summary>
    public ImmutableArray<string> Appraisers { get; }

    /// <summary>How often each appraiser measured each part.</summary>
    public int Trials { get; }

    /// <summary>By averages and ranges: for 2 or 3 trials, 2 or 3 appraisers and up to 10 parts; null for other studies, whose factors the form does not give.</summary>
    public GaugeSpread? ByRanges()
    {
        if (Trials > 3 || Appraisers.Length > 3 || Parts.Length > 10)
        {
            return null;
        }

        double repeatability = _values.SelectMany(p => p).Average(c => c.Max() - c.Min()) * s_k1[Trials - 2];
        double between = (_appraiserMeans.Max() - _appraiserMeans.Min()) * s_k2[Appraisers.Length - 2];
        double square = (between * between) - (repeatability * repeatability / (Parts.Length * Trials));
        return new GaugeSpread(repeatability, Root(square), (_partMeans.Max() - _partMeans.Min()) * s_k3[Parts.Length - 2]);
    }

    /// <summary>By analysis of variance with random parts and appraisers; negative variances count as 0.</summary>
    /// <param name="poolAbove">The interaction is counted as error if its probability is above this; AIAG: 0.25, others 0.05. 1: never.</param>
    public (GaugeSpread Spread, GaugeAnova Anova) ByAnova(double poolAbove = 0.25)
    {
        (int p, int o, int r) = (Parts.Length, Appraisers.Length, Trials);
        double mean = _partMeans.Average();
        double parts = o * r * _partMeans.Sum(m => Square(m - mean));
        double appraisers = p * r * _appraiserMeans.Sum(m => Square(m - mean));
        (double interaction, double error) = (0, 0);
        for (int i = 0; i < p; i++)
        {
            for (int j = 0; j < o; j++)
            {
                double cell = _values[i][j].Average();
                interaction += r * Square(cell - _partMeans[i] - _appraiserMeans[j] + mean);
                error += _values[i][j].Sum(v => Square(v - cell));
            }
        }

        (int interactionFreedom, int errorFreedom) = ((p - 1) * (o - 1), p * o * (r - 1));
        (double msInteraction, double msError) = (interaction / interactionFreedom, error / errorFreedom);
        double f = msError > 0 ? msInteraction / msError : msInteraction > 0 ? double.PositiveInfinity : 0;
        double probability = VarianceRatio.UpperTail(f, interactionFreedom, errorFreedom);
        bool pooled = probability > poolAbove;
        double repeatability = pooled ? (interaction + error) / (interactionFreedom + errorFreedom) : msError;
        double under = pooled ? repeatability : msInteraction; // what parts and appraisers are held against
        double between = Math.Max(0, ((appraisers / (o - 1)) - under) / (p * r)) + (pooled ? 0 : Math.Max(0, (msInteraction - msError) / r));
        double part = ((parts / (p - 1)) - under) / (o * r);
        return (new GaugeSpread(Root(repeatability), Root(between), Root(part)), new GaugeAnova(parts, appraisers, interaction, error, f, probability, pooled));
    }

    private static double Square(double x) => x * x;

    private static double Root(double variance) => Math.Sqrt(Math.Max(0, variance));
}
