namespace ThermoWatch.Domain.Engine;

/// <content>Runs whose beginning and end are known already, because they are judged once more.</content>
public sealed partial class CellEngine
{
    internal void BeginStored(StoredRun run, List<EngineEvent> events)
    {
        if (CarrierOf(run.Carrier) is not { Run: null } carrier)
        {
            return;
        }

        carrier.Use(run.Spec, SpecTerm.Standing, run.Start, events);
        bool notSeen = run.Notes.Contains(RunInProgress.StartNotSeen);
        carrier.Begin(new RunStart(run.Start.UtcTicks, "stored", run.Start, run.Kind, run.Recipe, notSeen), ref _nextRunNumber, events);
        foreach (string note in run.Notes)
        {
            carrier.Run!.Note(note);
        }
    }

    /// <summary>The run as it is judged now; null if the cell has no such carrier.</summary>
    internal RunPicture? EndStored(StoredRun run, List<EngineEvent> events)
    {
        if (CarrierOf(run.Carrier) is not { Run: not null } carrier)
        {
            return null;
        }

        EndHere(carrier, run.End, run.EndReason, events);
        return carrier.Last;
    }
}
