using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Cells;

/// <content>By which spec its runs are judged.</content>
internal sealed partial class CellHost
{
    private UsualSpec Usually => new(_configuration.Spec, _configuration.Spec is not null && _configuration.Products.Count == 1);

    /// <summary>Puts the configured spec into force for every carrier that has none of the products' specs already.</summary>
    public void AssignSpec(Timestamp moment)
    {
        // One that was chosen before a restart stays: the run goes on, and so does its product.
        bool IsChosen(string carrier) => !Usually.IsOnly && _engine.SpecOf(carrier) is { } chosen
            && _configuration.Products.Any(p => p.Name == chosen.Name && p.Version == chosen.Version);

        if (_configuration.Spec is { } spec)
        {
            SpecTerm term = Usually.IsOnly ? SpecTerm.Standing : SpecTerm.UntilTold;
            EngineInput[] assigned =
                [.. Definition.Carriers.Where(carrier => !IsChosen(carrier)).Select(carrier => new SpecInput(moment, carrier, spec) { Term = term })];
            if (assigned.Length > 0)
            {
                Process(assigned);
            }
        }
    }

    /// <summary>Somebody says, or a code says, what a carrier carries: its open run and, without one, its next.</summary>
    /// <returns>Number of the run that it is said of, null for the next; and, once it stands in the record, whether it was taken.</returns>
    public (long? Run, Task<bool> Taken) SayProduct(string carrier, Spec spec, string by)
    {
        long? run = _picture.Runs.FirstOrDefault(r => r.Carrier == carrier && r.End is null)?.Number;
        _products.Say(carrier, run, spec, by, _clock.Now, _engine.NextRunNumber); // first, or the register might speak in between
        return (run, TakeAsync(now => new SpecInput(now, carrier, spec) { Term = Usually.IsOnly ? SpecTerm.Standing : SpecTerm.OneRun }));
    }

    /// <summary>Puts the specs into force that the open runs ask for: at once, so that none is judged late because inputs wait.</summary>
    private void Choose()
    {
        if (_products.Look(_picture).ToArray() is { Length: > 0 } chosen)
        {
            _stateDue = true;
            Process(chosen);
        }
    }
}
