using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;

namespace ThermoWatch.Service.Cells;

/// <summary>Looks in the catalogue whether a cell's verification run is due, and reports it to the cell.</summary>
internal sealed class VerificationWatch(int cell, VerificationRule rule, RunCatalogue catalogue)
{
    /// <summary>Name of the condition.</summary>
    public const string Condition = "verificationDue";

    private VerificationDue? _told;

    /// <summary>Why one is due, as the last look found it, for the alarm's text; null where its numbers say it.</summary>
    public AlarmSource? Why { get; private set; }

    /// <summary>What has changed since the last look; null if nothing has.</summary>
    public ReportInput? Look(Timestamp now)
    {
        (Timestamp last, int since) = catalogue.SinceVerification(cell) ?? (now, 0);
        VerificationDue due = rule.Look(now, last, since, catalogue.Book.ServiceLog(cell).Select(line => line.Entry));
        Why = due.Old is { } old ? AlarmSource.OfAge(old.Age, old.Longest) : due.Work is { } work ? AlarmSource.OfWork(work) : null;
        if (_told is { } told && told.Due == due.Due)
        {
            return null; // the number goes up with each run, and nobody need be told again
        }

        _told = due;
        return new ReportInput(now, Condition, due.Due, due.Runs, due.Limit);
    }
}
