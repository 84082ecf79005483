using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Alarms;

/// <summary>
/// How long the steps with molten joints usually take, by the carrier's last runs under the same spec and recipe that have not failed.
/// </summary>
/// <remarks>Products alternate: what one has shown is kept while another is soldered. The least recently soldered goes when there are many.</remarks>
internal sealed class UsualTimes
{
    private const int MostProducts = 24;

    // Least recently soldered first: what is looked for is nearly always the last.
    private readonly List<(Product Product, StepTimes Times)> _products = [];
    private long _lastRun;

    /// <summary>Usual time at or below the target, s; null while too few runs of this product have shown it.</summary>
    /// <param name="spec">The spec in force.</param>
    /// <param name="recipe">The machine's recipe; null if it is not known.</param>
    public double? HoldSeconds(Spec? spec, int? recipe) => Find(new Product(spec?.Name ?? "", spec?.Version ?? 0, recipe))?.Hold;

    /// <summary>Takes in a run that has ended.</summary>
    public void Learn(RunPicture run)
    {
        if (run.Number == _lastRun)
        {
            return;
        }

        _lastRun = run.Number;
        if (run.Verdict == Verdict.Fail || run.EndReason == "abandoned" || run.Phases.FirstOrDefault(p => p.Name == "reflow") is not { } reflow)
        {
            return;
        }

        LatestOf(new Product(run.SpecName ?? "", run.SpecVersion ?? 0, run.Recipe)).Learn(run, reflow);
    }

    /// <summary>How long the step that an open run is in has lasted, and how long it usually lasts at most, s; null if that is not known.</summary>
    public (double Elapsed, double Longest)? Expected(RunInProgress run, Spec? spec, Timestamp now)
    {
        Timestamp? molten = null;
        foreach (PhaseSpan phase in run.Phases)
        {
            molten = phase.Name == "reflow" ? phase.Start : molten;
        }

        return molten is { } since ? Find(new Product(spec?.Name ?? "", spec?.Version ?? 0, run.Recipe))?.Expected(run, since, now) : null;
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(_lastRun);
        writer.Write(_products.Count);
        foreach ((Product product, StepTimes times) in _products)
        {
            writer.Write(product.Spec);
            writer.Write(product.Version);
            writer.Write(product.Recipe ?? long.MinValue);
            times.Save(writer);
        }
    }

    public void Load(BinaryReader reader)
    {
        _lastRun = reader.ReadInt64();
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            var product = new Product(reader.ReadString(), reader.ReadInt32(), reader.ReadInt64() is var recipe && recipe == long.MinValue ? null : (int)recipe);
            _products.Add((product, StepTimes.Load(reader)));
        }
    }

    /// <summary>A product's times, which become the most recently soldered.</summary>
    private StepTimes LatestOf(Product product)
    {
        StepTimes times = Find(product) ?? new StepTimes();
        _products.RemoveAll(p => p.Product == product);
        _products.Add((product, times));
        _products.RemoveRange(0, Math.Max(0, _products.Count - MostProducts));
        return times;
    }

    private StepTimes? Find(Product product)
    {
        for (int i = _products.Count - 1; i >= 0; i--)
        {
            if (_products[i].Product == product)
            {
                return _products[i].Times;
            }
        }

        return null;
    }

    private readonly record struct Product(string Spec, int Version, int? Recipe);
}
