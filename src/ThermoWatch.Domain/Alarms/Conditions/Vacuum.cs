using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>A look at the newest evacuation over molten solder, while it goes on and shortly after.</summary>
internal abstract class VoidStepCondition(string name, AlarmSettings defaults, params (string Figure, bool Upper)[] figures)
    : RunCondition(name, defaults, figures)
{
    private const long AfterTicks = 5 * Timestamp.TicksPerSecond;

    protected sealed override Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place)
    {
        // While the gauge is silent nobody knows what the chamber does.
        if (carrier.Step is not { } step || (step.EndTicks is { } end && facts.Now.UtcTicks - end > AfterTicks) || !facts.IsFresh(facts.Gauge!))
        {
            return null;
        }

        // The newest evacuation may be one for something else than voids: then there is nothing to look at.
        IReadOnlyList<StepFigures> steps = carrier.VoidSteps();
        return steps.Count > 0 && steps[^1].StartTicks == step.StartTicks ? Judge(facts, carrier, steps[^1]) : null;
    }

    protected abstract Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step);

    /// <summary>What a figure of the step and its upper limit show.</summary>
    protected static Finding? Above(CarrierFacts carrier, string figure, Outcome outcome) =>
        carrier.LimitOf(figure, upper: true) is { Upper: { } upper } limit && outcome.HasBounds && outcome.Low > upper
            ? new Finding(outcome.Low, upper, Priority: limit.Severity == Severity.Warn ? AlarmPriority.Low : null) { Figure = figure }
            : null;
}

/// <summary>The chamber was evacuated before every joint was molten: pasty solder spatters and leaves voids.</summary>
internal sealed class ColdAtEvacuation() : VoidStepCondition("coldAtEvacuation", new(), ("moltenAtEvacuation", false))
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step)
    {
        double least = carrier.LimitOf("moltenAtEvacuation", upper: false)?.Lower ?? 0;
        return carrier.Coldest(step.StartTicks) is { } coldest && coldest.Kelvin < least
            ? new Finding(coldest.Kelvin, least, coldest.Board.Track.Definition.Id) { Figure = "moltenAtEvacuation" }
            : null;
    }
}

/// <summary>The target is not reached in the time allowed.</summary>
internal sealed class SlowPumpDown() : VoidStepCondition("slowPumpDown", new(), ("pumpDownTime", true))
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step) => Above(carrier, "pumpDownTime", step.PumpDown());
}

/// <summary>An evacuation ended without having reached its target.</summary>
internal sealed class BasePressure() : VoidStepCondition("basePressure", new())
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step) =>
        step is { Ended: true, Target: { } target } && step.PumpDown().Reason == FigureReasons.NeverReached
            ? new Finding(step.Least, target) { Figure = "lowestPressure" }
            : null;
}

/// <summary>A joint that was molten has fallen below its liquidus while the chamber was evacuated: voids freeze at their largest.</summary>
internal sealed class FreezeUnderVacuum() : VoidStepCondition(
    "freezeUnderVacuum", new() { Priority = AlarmPriority.High, OnDelay = TimeSpan.FromSeconds(1) }, ("moltenAtVentEnd", false))
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step) =>
        !step.Ended && carrier.Coldest(step.StartTicks) is { Kelvin: >= 0 } && carrier.Coldest(facts.Now.UtcTicks) is { Kelvin: < 0 } coldest
            ? new Finding(coldest.Kelvin, 0, coldest.Board.Track.Definition.Id) { Figure = "moltenAtVentEnd" }
            : null;
}

/// <summary>The pressure fell faster than the spec allows: molten solder spatters.</summary>
internal sealed class EvacuationRate() : VoidStepCondition("evacuationRate", new(), ("steepestEvacuation", true))
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step) =>
        carrier.LimitOf("steepestEvacuation", upper: true) is null ? null : Above(carrier, "steepestEvacuation", step.SteepestEvacuation());
}

/// <summary>The chamber was vented faster or slower than the spec allows.</summary>
internal sealed class VentRate() : VoidStepCondition("ventRate", new(), ("steepestVent", true), ("ventTime", true), ("ventTime", false))
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, StepFigures step) =>
        (carrier.LimitOf("steepestVent", upper: true) is null ? null : Above(carrier, "steepestVent", step.SteepestVent()))
        ?? (carrier.LimitOf("ventTime", upper: true) is null ? null : Above(carrier, "ventTime", step.Vent()));
}

/// <summary>The pressure rises during the hold, slower than a vent makes it and before the hold is over.</summary>
internal sealed class PressureLost() : LevelCondition(
    "pressureLost", new() { Priority = AlarmPriority.High, OnDelay = TimeSpan.FromSeconds(2), Deadband = Defaults.PressureDeadband })
{
    private const double LostAbove = 1.5; // times the target: flux gas alone makes a tenth and more
    private const double VentAbove = 3; // times the target: within the delay only a vent comes so far
    private const double VentShare = 0.1; // of the rest pressure
    private const double ShareOfUsualHold = 0.8;

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => facts.Gauge is null ? [] :
        [new AlarmPlace(facts.Gauge.Definition.Id) { Channel = facts.Gauge.Index }];

    protected override Level? LevelOf(CellFacts facts, AlarmPlace place, Level? before)
    {
        foreach (CarrierFacts carrier in facts.Carriers)
        {
            if (!facts.IsFresh(facts.Gauge!))
            {
                return before;
            }

            if (carrier.Step is not { EndTicks: null } open || carrier.VoidSteps() is not [.., { Target: { } target } step] || step.StartTicks != open.StartTicks)
            {
                continue;
            }

            double held = step.Hold() is { HasBounds: true } hold ? hold.Low : 0;
            double? wanted = carrier.LimitOf("vacuumHold", upper: false)?.Lower ?? (ShareOfUsualHold * carrier.Usual.HoldSeconds(carrier.Spec, carrier.Run!.Recipe));
            if (step.Least <= target && !(held >= wanted))
            {
                return new Level(LostAbove * target, Upper: true, Deadband(facts.Rules), carrier.Run!.Number)
                {
                    Cap = Math.Max(VentAbove * target, VentShare * facts.RestPressure),
                };
            }
        }

        return null;
    }
}

/// <summary>More, fewer or other evacuations than the spec asks for: another recipe, perhaps.</summary>
internal sealed class UnexpectedVacuum() : RunCondition("unexpectedVacuum", new())
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place)
    {
        if (carrier.Spec is not { } spec || !KnowsTheChamber(facts))
        {
            return null;
        }

        int found = carrier.Run!.Steps.Count;
        int asked = spec.Vacuum is not { } vacuum ? 0 : Math.Max(1, vacuum.Steps.Length);
        bool more = found > asked && spec.Vacuum is not { Steps.IsEmpty: true };

        // The solder has been molten, and is solid again: what was not evacuated by now will not be.
        bool fewer = found < asked && carrier.HasFrozen;
        return more || fewer ? new Finding(found, asked) { Figure = "evacuations" } : null;
    }

    protected override Finding? JudgeEnded(CellFacts facts, RunPicture run, AlarmPlace place)
    {
        int found = run.Phases.Count(p => p.Name == "evacuate");
        int asked = facts.Carriers[place.Carrier].Spec?.Vacuum is { } vacuum ? Math.Max(1, vacuum.Steps.Length) : 0;
        return facts.Carriers[place.Carrier].Spec is not null && KnowsTheChamber(facts) && (run.Reasons.Contains("unexpectedVacuum") || found < asked)
            // As many as asked, and yet not those: numbers would say that nothing is wrong.
            ? (found == asked ? new Finding() : new Finding(found, asked)) with { Figure = "evacuations" }
            : null;
    }

    private static bool KnowsTheChamber(CellFacts facts) => facts.Gauge is { } gauge && facts.IsFresh(gauge) && !double.IsNaN(facts.RestPressure);
}
