using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Alarms.Conditions;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>A run of the record that is to be judged once more: where it began and ended stays as it was found then.</summary>
/// <param name="Number">Its number in its cell.</param>
/// <param name="Carrier">Its carrier.</param>
/// <param name="Start">Where it begins.</param>
/// <param name="End">Where it ends.</param>
public sealed record StoredRun(long Number, string Carrier, Timestamp Start, Timestamp End)
{
    /// <summary>What it was for.</summary>
    public RunKind Kind { get; init; }

    /// <summary>Spec to judge it by; null: none.</summary>
    public Spec? Spec { get; init; }

    /// <summary>Which rule ended it.</summary>
    public string EndReason { get; init; } = "";

    /// <summary>Recipe that was known of it; null if none was.</summary>
    public int? Recipe { get; init; }

    /// <summary>What was noted of it, such as <c>startNotSeen</c>.</summary>
    public ImmutableArray<string> Notes { get; init; } = [];
}

/// <summary>
/// Judges runs of the record once more, by the engine that judges live ones: one after another through the same inputs, with
/// another calibration in the cell's definition or another spec. Runs begin and end where the record says, so that a run stays
/// the run that it was; alarms are not watched.
/// </summary>
public sealed class StoredRuns
{
    /// <summary>What happened this long before the first run must be lived through too: the chamber's rest, the vapour's steady level.</summary>
    public static readonly TimeSpan LeadIn = TimeSpan.FromMinutes(1);

    /// <summary>And this long after the last: readings are judged one behind.</summary>
    public static readonly TimeSpan LeadOut = TimeSpan.FromSeconds(5);

    private static readonly AlarmRules s_silent = new()
    {
        Conditions = ConditionList.Names.ToImmutableDictionary(name => name, _ => new AlarmSettings { Enabled = false }),
    };

    private readonly CellEngine _engine;
    private readonly Queue<StoredRun> _waiting;
    private readonly List<StoredRun> _open = [];
    private readonly List<EngineEvent> _events = [];
    private readonly Action<StoredRun, RunPicture> _judged;

    /// <param name="cell">The cell as it was wired, with the calibrations to judge by.</param>
    /// <param name="runs">The runs; also those beside them that shared the chamber.</param>
    /// <param name="judged">Told of each as soon as it is judged.</param>
    public StoredRuns(CellDefinition cell, IEnumerable<StoredRun> runs, Action<StoredRun, RunPicture> judged)
    {
        ArgumentNullException.ThrowIfNull(cell);
        _engine = new CellEngine(cell with { Rules = cell.Rules with { DetectRuns = false }, Alarms = s_silent });
        _waiting = new Queue<StoredRun>(runs.OrderBy(run => run.Start));
        _judged = judged;
    }

    /// <summary>Whether all are judged.</summary>
    public bool IsDone => _waiting.Count == 0 && _open.Count == 0;

    /// <summary>Takes in one input of the record; they come in its order. What people commanded then is in the runs already.</summary>
    public void Take(EngineInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        if (input is not (ScanInput or TickInput or DeviceStateInput))
        {
            return;
        }

        while (_waiting.TryPeek(out StoredRun? next) && next.Start <= input.Time)
        {
            Begin(_waiting.Dequeue());
        }

        for (int i = _open.Count - 1; i >= 0; i--)
        {
            if (input.Time - _open[i].End > LeadOut)
            {
                End(_open[i]);
            }
        }

        _events.Clear();
        _engine.Advance(input, _events);
    }

    /// <summary>There are no more inputs.</summary>
    public void Finish()
    {
        while (_waiting.TryDequeue(out StoredRun? run))
        {
            Begin(run);
        }

        while (_open.Count > 0)
        {
            End(_open[0]);
        }
    }

    private void Begin(StoredRun run)
    {
        if (_open.Find(other => other.Carrier == run.Carrier) is { } before)
        {
            End(before);
        }

        _engine.BeginStored(run, _events);
        _open.Add(run);
    }

    private void End(StoredRun run)
    {
        _open.Remove(run);
        if (_engine.EndStored(run, _events) is { } picture)
        {
            _judged(run, picture with { Number = run.Number });
        }
    }
}
