using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>
/// Something that has happened to the boards of a run. It cannot be undone, so it holds to the run's end, and beyond it until somebody
/// has seen it or the carrier's next run begins: until then these boards may still be at hand. Told once a run.
/// </summary>
/// <param name="name">As in the alarm list.</param>
/// <param name="defaults">How it behaves.</param>
/// <param name="figures">Figures whose broken limits are this condition, and on which side: the last word when the run has ended.</param>
internal abstract class RunCondition(string name, AlarmSettings defaults, params (string Figure, bool Upper)[] figures) : Condition(name, defaults)
{
    /// <summary>Figures whose broken limits are this condition.</summary>
    public IReadOnlyList<(string Figure, bool Upper)> Figures => figures;

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => Carriers(facts);

    public sealed override void Look(CellFacts facts, AlarmPlace place, Alarm alarm, LevelTable levels, List<EngineEvent> events)
    {
        CarrierFacts carrier = facts.Carriers[place.Carrier];
        if (carrier.Run is { } run)
        {
            if (!JudgesOpenRuns && !alarm.Holds)
            {
                return;
            }

            if (alarm.Holds && alarm.Run == run.Number)
            {
                return;
            }

            Finding? found = alarm.Holds || alarm.Run == run.Number ? null : Judge(facts, carrier, place);
            // One that is over because the next run has begun was still that of the run before.
            alarm.Follow(found is not null, facts.Now, Complete(facts, alarm, found, alarm.Holds ? alarm.Run ?? run.Number : run.Number), events);
        }
        else if (carrier.Last is { } last && alarm.JudgedRun != last.Number)
        {
            alarm.JudgedRun = last.Number;
            if (alarm.Run != last.Number && JudgeEnded(facts, last, place) is { } found)
            {
                alarm.Break();
                alarm.RaiseNow(facts.Now, Complete(facts, alarm, found, last.Number), events);
            }
        }
        else if (alarm.Holds && (alarm.Seen || (alarm.State == AlarmState.SuppressedByDesign && !facts.HasLeader(alarm))))
        {
            alarm.Follow(false, facts.Now, new Finding(Run: alarm.Run), events);
        }
        else if (alarm.IsWaiting)
        {
            alarm.Break();
        }
    }

    /// <summary>What follows from one and the same cause asks for one and the same answer: only the first of a carrier is told.</summary>
    private static Finding Complete(CellFacts facts, Alarm alarm, Finding? found, long run) =>
        (found ?? default) with { Run = run, Follows = found is not null && facts.HasLeader(alarm) };

    /// <summary>Whether a run that goes on is looked at; else only one that has ended.</summary>
    protected virtual bool JudgesOpenRuns => true;

    /// <summary>What a look at the open run shows; null if nothing. Also asked while a delay runs.</summary>
    protected virtual Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place) => null;

    /// <summary>What the figures of the ended run show; null if nothing.</summary>
    protected virtual Finding? JudgeEnded(CellFacts facts, RunPicture run, AlarmPlace place)
    {
        Finding? worst = null;
        foreach (FigureResult figure in run.Figures)
        {
            if (figure is { Verdict: Verdict.Fail, Value: not null } && IsMine(figure) && BelongsTo(facts, place, figure)
                && (worst is null || figure.Severity == Severity.Fail))
            {
                worst = FindingOf(figure);
            }
        }

        return worst;
    }

    /// <summary>A broken limit as a finding.</summary>
    public static Finding FindingOf(FigureResult figure) => new(
        figure.Value, BrokeUpper(figure) ? figure.Upper : figure.Lower ?? figure.Upper, figure.ChannelId ?? figure.DecidedBy,
        Priority: figure.Severity == Severity.Warn ? AlarmPriority.Low : null)
    { Figure = figure.Figure };

    /// <summary>Whether it is the upper limit that a figure has broken.</summary>
    public static bool BrokeUpper(FigureResult figure) => figure.Upper is { } upper && (figure.Value ?? figure.Low) > upper;

    private bool IsMine(FigureResult figure)
    {
        foreach ((string name, bool upper) in figures)
        {
            if (name == figure.Figure && upper == BrokeUpper(figure))
            {
                return true;
            }
        }

        return false;
    }

    private static bool BelongsTo(CellFacts facts, AlarmPlace place, FigureResult figure) =>
        place.Channel < 0 || facts.Channels[place.Channel].Definition.Id == figure.ChannelId;
}
