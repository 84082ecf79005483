using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>A limit that no other condition speaks for is broken by the ended run.</summary>
internal sealed class LimitBroken() : RunCondition("limit", new())
{
    public override IEnumerable<AlarmPlace> Places(CellFacts facts) =>
        Carriers(facts).SelectMany(carrier => FigureCatalog.All.Select(f => carrier with { Name = $"{carrier.Name}/{f.Name}" }));

    protected override bool JudgesOpenRuns => false;

    protected override Finding? JudgeEnded(CellFacts facts, RunPicture run, AlarmPlace place)
    {
        Finding? worst = null;
        foreach (FigureResult figure in run.Figures)
        {
            if (figure.Verdict == Verdict.Fail && place.Name.EndsWith($"/{figure.Figure}", StringComparison.Ordinal)
                && (worst is null || figure.Severity == Severity.Fail) && !IsToldElsewhere(facts, run, figure))
            {
                worst = FindingOf(figure);
            }
        }

        return worst;
    }

    private static bool IsToldElsewhere(CellFacts facts, RunPicture run, FigureResult figure)
    {
        bool upper = BrokeUpper(figure);
        if (figure.Figure is "peakTemperature" or "sustainedPeak" && upper)
        {
            return facts.WasRaised("tooHot", figure.ChannelId, run.Number);
        }

        // Without its evacuation, or with one that did not get deep, the chamber's figures say the same once more.
        return (FigureCatalog.Find(figure.Figure)?.Scope == FigureScope.Vacuum
                && (facts.WasRaised("basePressure", null, run.Number) || facts.WasRaised("unexpectedVacuum", null, run.Number)))
            || (figure.Value is not null && ConditionList.Speaks(figure.Figure, upper));
    }
}

/// <summary>With molten joints in the machine, the next step does not come: the programme may have stopped.</summary>
internal sealed class CycleStopped() : StateCondition("cycleStopped", new() { Priority = AlarmPriority.High })
{
    private const double BeyondSeconds = 5;

    public override string Unit => "s";

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => Carriers(facts);

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        found = default;
        CarrierFacts carrier = facts.Carriers[place.Carrier];
        if (carrier.Run is not { } run || !carrier.AnyHot || carrier.Usual.Expected(run, carrier.Spec, facts.Now) is not { } expected)
        {
            return Standing.Clear;
        }

        if (expected.Elapsed <= expected.Longest + BeyondSeconds)
        {
            return Standing.Clear;
        }

        found = new Finding(expected.Elapsed, expected.Longest, Run: run.Number, Deadline: carrier.LiquidUntil());
        return Standing.Holds;
    }
}

/// <summary>The machine runs another recipe than the product asks for. Waits until it is known what is soldered.</summary>
/// <remarks>
/// The delay: a recipe register and the start of its run need not come in the same moment, and a product that follows from it comes after both.
/// </remarks>
internal sealed class WrongRecipe() : RunCondition("wrongRecipe", new() { Priority = AlarmPriority.High, OnDelay = TimeSpan.FromSeconds(5) })
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place) =>
        carrier.KnowsProduct && !carrier.OnlyCools && carrier.Run!.Recipe is { } running && carrier.Spec?.Recipe is { } wanted && running != wanted
            ? new Finding(running, wanted)
            : null;
}

/// <summary>A carrier moved while joints were liquid. Solder stays liquid below its solidus for a while, so the rule goes on below it.</summary>
internal sealed class MovedWhileLiquid() : LevelCondition("movedWhileLiquid", new())
{
    private const double Undercooling = 20;

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => facts.Rules.MotionLimit is null ? [] : Channels(facts, ChannelRole.Motion);

    protected override Level? LevelOf(CellFacts facts, AlarmPlace place, Level? before)
    {
        foreach (CarrierFacts carrier in facts.Carriers)
        {
            if (carrier.Run is { } run && carrier.Boards.Any(b => b.Alloy is { } alloy && facts.IsFresh(b.Track)
                && b.Highest >= alloy.Liquidus && b.Track.Curve.LastValue > alloy.Solidus - Undercooling))
            {
                return new Level(facts.Rules.MotionLimit!.Value, Upper: true, Deadband(facts.Rules), run.Number);
            }
        }

        return null;
    }
}

/// <summary>Three runs running, the vapour stood off the fluid's boiling point at the chamber's pressure of then, on the same side.</summary>
internal sealed class PlateauOff() : StateCondition("plateauOff", new() { Priority = AlarmPriority.Low })
{
    private const double OffKelvin = 2;
    private const int Running = 3;
    private const double NoVapour = 20; // so far below the boiling point there is air, not vapour: a pre-vacuum in the soak
    private const long WindowTicks = 5 * Timestamp.TicksPerSecond;

    private readonly List<double> _residuals = [];
    private long _lastRun;

    public override string Unit => "K";

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => facts.Gauge is null || facts.Vapour is null ? [] :
        [new AlarmPlace(facts.Vapour.Definition.Id) { Channel = facts.Vapour.Index }];

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        foreach (CarrierFacts carrier in facts.Carriers)
        {
            if (carrier is { Run: { Steps.Count: > 0 } run, Spec.Fluid: { } fluid } && run.Number > _lastRun
                && ResidualAt(facts, fluid, run.Steps[0]) is { } residual)
            {
                _lastRun = run.Number;
                _residuals.Add(residual);
                _residuals.RemoveRange(0, Math.Max(0, _residuals.Count - Running));
            }
        }

        found = new Finding(_residuals.LastOrDefault(), _residuals.LastOrDefault() < 0 ? -OffKelvin : OffKelvin);
        return _residuals.Count == Running && (_residuals.TrueForAll(r => r > OffKelvin) || _residuals.TrueForAll(r => r < -OffKelvin))
            ? Standing.Holds
            : Standing.Clear;
    }

    public override void Save(BinaryWriter writer)
    {
        writer.Write(_lastRun);
        writer.Write(_residuals.Count);
        _residuals.ForEach(writer.Write);
    }

    public override void Load(BinaryReader reader)
    {
        _lastRun = reader.ReadInt64();
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            _residuals.Add(reader.ReadDouble());
        }
    }

    /// <summary>Median of the vapour over the 5 s before an evacuation less the boiling point; null while the evacuation is for something else.</summary>
    private static double? ResidualAt(CellFacts facts, Fluid fluid, VacuumStep step)
    {
        Curve vapour = facts.Vapour!.Curve;
        CurveView before = vapour.View(step.StartTicks - WindowTicks, step.StartTicks, step.StartTicks, facts.Vapour.GapTicks);
        if (before.Count < 5)
        {
            return null;
        }

        double[] sorted = [.. before.Values];
        Array.Sort(sorted);
        double boiling = BoilingPoint.At(fluid, step.RestPressure).Celsius;
        double residual = sorted[sorted.Length / 2] - boiling;
        return residual > -NoVapour ? residual : null;
    }
}
