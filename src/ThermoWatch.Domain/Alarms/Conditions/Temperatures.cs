using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>A place on the product is above the lowest upper limit of its peak, in a run or not.</summary>
internal sealed class TooHot() : LevelCondition("tooHot", s_defaults)
{
    internal static readonly AlarmSettings s_defaults = new()
    {
        Priority = AlarmPriority.High,
        OnDelay = TimeSpan.FromTicks(Defaults.TemperatureDelayTicks),
        Deadband = Defaults.TemperatureDeadband,
    };

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => Channels(facts, ChannelRole.Product);

    protected override Level? LevelOf(CellFacts facts, AlarmPlace place, Level? before)
    {
        CarrierFacts carrier = facts.Carriers[place.Carrier];
        double ceiling = carrier.CeilingOf(place.Channel);
        return double.IsFinite(ceiling)
            ? new Level(ceiling, Upper: true, Deadband(facts.Rules), carrier.Run?.Number) { Figure = "peakTemperature" }
            : null;
    }
}

/// <summary>
/// A board is hotter than the vapour around it can make it: something radiates, the fluid is another one, or the sensor is wrong.
/// Watched in vapour at steady pressure, frozen from the first evacuation to the run's end, as boiling points then mean nothing.
/// </summary>
internal sealed class HotterThanVapour() : LevelCondition("tooHot", TooHot.s_defaults)
{
    private readonly Dictionary<int, ((Spec Spec, long Run, int Celsius) Key, double Kelvin)> _tolerances = [];

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => !facts.Cell.Rules.VapourIsHottest ? [] :
        Channels(facts, ChannelRole.Product)
            .Where(p => facts.Channels[p.Channel].Definition.Place != Place.Air)
            .Select(p => p with { Name = p.Name + "/vapour" });

    protected override Level? LevelOf(CellFacts facts, AlarmPlace place, Level? before)
    {
        CarrierFacts carrier = facts.Carriers[place.Carrier];
        if (carrier.Run is not { } run)
        {
            return null;
        }

        if (run.Steps.Count > 0 || facts.InVacuumStep)
        {
            return before is { } level ? level with { Frozen = true } : null;
        }

        return Expected(facts, carrier) is { } expected
            ? new Level(expected + Tolerance(facts, carrier.Spec!, run, place, expected), Upper: true, Deadband(facts.Rules), run.Number)
            : null;
    }

    /// <summary>What a board can reach in the vapour, °C; null where nobody can tell.</summary>
    private static double? Expected(CellFacts facts, CarrierFacts carrier)
    {
        if (carrier.BoilingPoint is not { } boiling)
        {
            return null;
        }

        // A fluid that has aged boils higher than its sheet says: its own vapour then tells better.
        return facts.Vapour is { } vapour && facts.IsFresh(vapour) ? Math.Max(boiling, vapour.Curve.LastValue) : boiling;
    }

    /// <summary>By the whole kelvin, as a budget is long work and hardly moves with the temperature.</summary>
    private double Tolerance(CellFacts facts, Spec spec, RunInProgress run, AlarmPlace place, double celsius)
    {
        (Spec, long, int) key = (spec, run.Number, (int)Math.Round(celsius));
        if (!_tolerances.TryGetValue(place.Channel, out var known) || known.Key != key)
        {
            UncertaintyBudget? budget = ChannelBudget.At(
                facts.Channels[place.Channel].Definition, key.Item3, new Timestamp(run.StartTicks), spec.Measurement);
            known = (key, Math.Max(Defaults.AboveVapourKelvin, 2 * (budget?.Combined ?? 0)));
            _tolerances[place.Channel] = known;
        }

        return known.Kelvin;
    }
}

/// <summary>A joint has been liquid for longer than allowed.</summary>
internal sealed class TimeAboveLiquidus() : RunCondition(
    "timeAboveLiquidus", new() { Priority = AlarmPriority.High }, ("timeAboveLiquidus", true))
{
    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => Channels(facts, ChannelRole.Product);

    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place)
    {
        Limit? limit = carrier.TimeAboveLimitOf(place.Channel);
        if (limit?.Upper is not { } upper || facts.Now.UtcTicks < carrier.NotBefore(place.Channel) || carrier.WatchOf(place.Channel) is not { } watch
            || (limit.Level ?? watch.Alloy?.Liquidus) is not { } level || watch.Highest < level)
        {
            return null;
        }

        double low = LevelSums.TimeAbove(carrier.Scope().View(watch.Track), level).Low;
        if (low > upper)
        {
            return new Finding(low, upper, Priority: limit.Severity == Severity.Warn ? AlarmPriority.Low : null) { Figure = "timeAboveLiquidus" };
        }

        // It cannot be broken before as much time has gone by as is still allowed: until then nobody needs to sum.
        carrier.SetNotBefore(place.Channel, watch.Track.Curve.LastTicks + (long)((upper - low) * Timestamp.TicksPerSecond));
        return null;
    }
}

/// <summary>The boards have left the soak without having been in it for as long as asked, or after too long.</summary>
internal sealed class SoakMissed() : RunCondition("soakMissed", new(), ("soakTime", true), ("soakTime", false))
{
    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place)
    {
        if (carrier.Spec?.Soak is not { } soak || carrier.SoakJudged == carrier.Run!.Number
            || (carrier.LimitOf("soakTime", upper: true) ?? carrier.LimitOf("soakTime", upper: false)) is null
            || !HaveAllPassed(carrier, soak.To + Crossings.TemperatureHysteresis))
        {
            return null;
        }

        carrier.SoakJudged = carrier.Run.Number;
        Finding? worst = null;
        double excess = 0;
        foreach (ProductWatch board in carrier.Boards)
        {
            var figures = ChannelFigures.Of(board.Track.Index, carrier.Scope().View(board.Track), RunEvaluator.Levels(carrier.Scope(), board));
            Outcome soaked = figures[FigureKind.SoakTime];
            foreach (bool upper in (ReadOnlySpan<bool>)[false, true])
            {
                Limit? limit = carrier.LimitOf("soakTime", upper, board.Track.Index);
                if ((upper ? limit?.Upper : limit?.Lower) is not { } value || !soaked.HasBounds)
                {
                    continue;
                }

                double beyond = upper ? soaked.Low - value : value - soaked.High;
                if (beyond > excess)
                {
                    excess = beyond;
                    worst = new Finding(
                        upper ? soaked.Low : soaked.High, value, board.Track.Definition.Id,
                        Priority: limit!.Severity == Severity.Warn ? AlarmPriority.Low : null)
                    { Figure = "soakTime" };
                }
            }
        }

        return worst;
    }

    // Asked once a second for as long as the run lasts: a loop leaves nothing behind.
    private static bool HaveAllPassed(CarrierFacts carrier, double celsius)
    {
        foreach (ProductWatch board in carrier.Boards)
        {
            if (board.Highest < celsius && board.Track.IsSure)
            {
                return false;
            }
        }

        return true;
    }
}

/// <summary>A channel has left the corridor of the released runs. The corridor lies in the record, so who reads that reports the distance.</summary>
internal sealed class OffReference() : RunCondition("offReference", new() { OnDelay = TimeSpan.FromSeconds(3) })
{
    public override string Unit => "K";

    private const string Prefix = "offReference/";
    private readonly SortedDictionary<string, double> _outside = [];

    /// <summary>The channel that a report places against its corridor; null if it is about something else.</summary>
    public static string? ChannelOf(ReportInput report) =>
        report.Condition.StartsWith(Prefix, StringComparison.Ordinal) ? report.Condition[Prefix.Length..] : null;

    /// <summary>Takes a report: how far a channel stands outside, K; or that it does not.</summary>
    public void Take(string channel, ReportInput report)
    {
        if (report is { Holds: true, Value: { } distance and > 0 })
        {
            _outside[channel] = distance;
        }
        else
        {
            _outside.Remove(channel);
        }
    }

    protected override Finding? Judge(CellFacts facts, CarrierFacts carrier, AlarmPlace place)
    {
        if (_outside.Count == 0)
        {
            return null;
        }

        Finding? worst = null;
        foreach (ProductWatch board in carrier.Boards)
        {
            if (_outside.TryGetValue(board.Track.Definition.Id, out double outside) && board.Track.IsSure && facts.IsFresh(board.Track) && !(worst?.Value >= outside))
            {
                worst = new Finding(outside, 0, board.Track.Definition.Id);
            }
        }

        return worst;
    }

    public override void Save(BinaryWriter writer)
    {
        writer.Write(_outside.Count);
        foreach ((string channel, double outside) in _outside)
        {
            writer.Write(channel);
            writer.Write(outside);
        }
    }

    public override void Load(BinaryReader reader)
    {
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            _outside[reader.ReadString()] = reader.ReadDouble();
        }
    }
}

/// <summary>The fluid's sump or a heater in it is hotter than the fluid stands.</summary>
internal sealed class FluidOverheat() : LevelCondition("fluidOverheat", TooHot.s_defaults with { Latching = true })
{
    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => Channels(facts, ChannelRole.Sump, ChannelRole.Heater);

    protected override Level? LevelOf(CellFacts facts, AlarmPlace place, Level? before) =>
        new Level(facts.Rules.FluidStability, Upper: true, Deadband(facts.Rules));
}
