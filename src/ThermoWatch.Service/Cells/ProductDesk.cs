using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Cells;

/// <summary>
/// Finds out what is soldered: what somebody or a scanned code says stands; else the recipe that the machine runs tells it. A run of which
/// nobody and nothing tells is recorded and waits.
/// </summary>
internal sealed class ProductDesk(int cell, SpecChoice choice, RunRecorder recorder)
{
    /// <summary>The source's name in a run's record.</summary>
    public const string Register = "recipe register";

    private readonly Lock _gate = new();
    private readonly Dictionary<string, (Spec Spec, string By)> _next = [];
    private readonly Dictionary<string, (long Run, int? Recipe, bool Said)> _seen = [];

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
                _seen[carrier] = (open, _seen.GetValueOrDefault(carrier) is var seen && seen.Run == open ? seen.Recipe : null, true);
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
                if (run.End is null && Look(run, picture.Time) is { } spec)
                {
                    chosen.Add(new SpecInput(picture.Time, run.Carrier, spec));
                }
            }
        }

        return chosen;
    }

    private Spec? Look(RunPicture run, Timestamp time)
    {
        bool known = _seen.TryGetValue(run.Carrier, out (long Run, int? Recipe, bool Said) seen) && seen.Run == run.Number;
        if (known && (seen.Said || seen.Recipe == run.Recipe))
        {
            return null;
        }

        if (!known && _next.Remove(run.Carrier, out (Spec Spec, string By) next))
        {
            _seen[run.Carrier] = (run.Number, run.Recipe, true);
            recorder.Say(run.Number, new RunRecordEdit { Product = next.Spec.Product ?? next.Spec.Name }, time, next.By);
            return IsInForce(run, next.Spec) ? null : next.Spec;
        }

        Spec? byRecipe = run.Recipe is { } recipe ? choice.ByRecipe(recipe) : null;

        // After a restart the record tells whether somebody had said another product.
        string? product = known || byRecipe is null ? null : recorder.ProductOf(run.Number);
        bool said = product is not null && product != (byRecipe!.Product ?? byRecipe.Name);
        _seen[run.Carrier] = (run.Number, run.Recipe, said);
        if (byRecipe is null || said)
        {
            return null;
        }

        recorder.Say(run.Number, new RunRecordEdit { Product = byRecipe.Product ?? byRecipe.Name, Recipe = run.Recipe }, time, Register);
        return IsInForce(run, byRecipe) ? null : byRecipe;
    }

    private static bool IsInForce(RunPicture run, Spec spec) => run.SpecName == spec.Name && run.SpecVersion == spec.Version;
}
