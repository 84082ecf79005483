using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Cells;

/// <summary>
/// Finds out what is soldered: what somebody or a scanned code says stands; else the recipe that the machine runs tells it. A run of which
/// nobody and nothing tells is recorded and waits.
/// </summary>
internal sealed class ProductDesk(int cell, SpecChoice choice, UsualSpec usual, RunRecorder recorder)
{
    /// <summary>The source's name in a run's record.</summary>
    public const string Register = "recipe register";

    // A register may follow the start of its run; nothing is hot by then.
    private const double RegisterSettlesSeconds = 30;

    private readonly Lock _gate = new();
    private readonly Dictionary<string, (Spec Spec, string By)> _next = [];
    private readonly Dictionary<string, Seen> _seen = [];

    /// <summary>Number of the cell.</summary>
    public int Cell => cell;

    /// <summary>Somebody or a code says what a carrier carries.</summary>
    /// <param name="carrier">The carrier.</param>
    /// <param name="run">Its open run; null: its next one is meant.</param>
    /// <param name="spec">Spec of the product.</param>
    /// <param name="by">Who or what says it.</param>
    /// <param name="time">When.</param>
    /// <param name="nextRun">Number that the cell's next run will get.</param>
    public void Say(string carrier, long? run, Spec spec, string by, Timestamp time, long nextRun)
    {
        lock (_gate)
        {
            if (run is not { } open)
            {
                _next[carrier] = (spec, by);
            }
            else
            {
                _seen[carrier] = new Seen(open, null, Settled: true);
            }
        }

        // Outside the lock: it waits for the disk, and the cell's loop must not.
        if (run is null)
        {
            recorder.KeepNext(carrier, new ProductOfNext(spec.Name, spec.Version, nextRun, by), time);
            return;
        }

        recorder.Say(run.Value, new RunRecordEdit { Product = spec.Product ?? spec.Name }, time, by);
    }

    /// <summary>After a restart: what was said of a run that has not begun yet is still said of it.</summary>
    /// <param name="carriers">The cell's carriers.</param>
    public void Resume(IEnumerable<string> carriers)
    {
        lock (_gate)
        {
            foreach (string carrier in carriers)
            {
                if (recorder.NextOf(carrier) is { } said && choice.ByName(said.Spec) is { } spec)
                {
                    _next[carrier] = (spec, said.By);
                }
            }
        }
    }

    /// <summary>Looks at the open runs; answers the specs that are to be put into force.</summary>
    public IEnumerable<SpecInput> Look(CellPicture picture)
    {
        if (choice.IsEmpty)
        {
            return [];
        }

        List<SpecInput> chosen = [];
        lock (_gate)
        {
            foreach (RunPicture run in picture.Runs)
            {
                if (run.End is null && Look(run, picture.Time) is { } input)
                {
                    chosen.Add(input);
                }
            }
        }

        return chosen;
    }

    private SpecInput? Look(RunPicture run, Timestamp time)
    {
        if (_seen.TryGetValue(run.Carrier, out Seen seen) && seen.Run == run.Number)
        {
            return seen.Settled || seen.Recipe == run.Recipe || !MayTell(run, seen, time) ? null : ByRecipe(run, time);
        }

        if (_next.Remove(run.Carrier, out (Spec Spec, string By) next))
        {
            _seen[run.Carrier] = new Seen(run.Number, run.Recipe, Settled: true);
            recorder.Say(run.Number, new RunRecordEdit { Product = next.Spec.Product ?? next.Spec.Name }, time, next.By);
            return Told(run, next.Spec, time);
        }

        // After a restart the record tells what has been said of it already.
        if (recorder.ProductOf(run.Number) is { } product)
        {
            _seen[run.Carrier] = new Seen(run.Number, run.Recipe, Settled: true);
            return choice.ByProduct(product) is { } known ? Told(run, known, time) : null;
        }

        return ByRecipe(run, time);
    }

    /// <summary>What the machine's recipe tells. Without it, or if no product asks for it, what the last run was is not what this one is.</summary>
    private SpecInput? ByRecipe(RunPicture run, Timestamp time)
    {
        _seen[run.Carrier] = new Seen(run.Number, run.Recipe, Settled: false);
        if (run.Recipe is not { } recipe)
        {
            return usual.IsOnly || IsInForce(run, usual.Spec) ? null : new SpecInput(time, run.Carrier, usual.Spec) { Term = SpecTerm.UntilTold };
        }

        if (choice.ByRecipe(recipe) is not { } spec)
        {
            return usual.Spec is null && run.SpecName is null ? null : Told(run, usual.Spec, time);
        }

        recorder.Say(run.Number, new RunRecordEdit { Product = spec.Product ?? spec.Name, Recipe = recipe }, time, Register);
        return Told(run, spec, time);
    }

    /// <summary>A cell that solders one product has its spec already; else it is told anew of each run, also if it is the one before's.</summary>
    private SpecInput? Told(RunPicture run, Spec? spec, Timestamp time) =>
        usual.IsOnly && IsInForce(run, spec) ? null : new SpecInput(time, run.Carrier, spec) { Term = SpecTerm.OneRun };

    /// <summary>Whether a recipe that has changed may still tell the product: later it is another recipe than the product's.</summary>
    private static bool MayTell(RunPicture run, Seen seen, Timestamp time) =>
        seen.Recipe is null || time.SecondsSince(run.Start) <= RegisterSettlesSeconds;

    private static bool IsInForce(RunPicture run, Spec? spec) => run.SpecName == spec?.Name && run.SpecVersion == spec?.Version;

    private readonly record struct Seen(long Run, int? Recipe, bool Settled);
}
