using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>One carrier: its product channels, its spec, its open run and its last one.</summary>
internal sealed partial class CarrierTrack(CellDefinition cell, string name, CarrierParts parts, VacuumTracker vacuum)
{
    private const int UsualRuns = 20;
    private const string Intervened = "intervened";

    // Air shows the station, not the board: it neither begins nor ends a run, unless there is nothing else.
    private readonly ImmutableArray<ProductWatch> _boards = parts.Products.Any(p => p.IsProduct)
        ? [.. parts.Products.Where(p => p.IsProduct)]
        : parts.Products;

    private readonly bool _airCounts = parts.Products.All(p => !p.IsProduct);
    private readonly List<long> _cycles = [];
    private long _usualCycle;
    private SpecTerm _term;

    public string Name { get; } = name;

    public Spec? Spec { get; private set; }

    /// <summary>Whether the spec in force is known to be that of what is soldered now.</summary>
    public bool KnowsProduct => Spec is not null && _term != SpecTerm.UntilTold;

    public RunInProgress? Run { get; private set; }

    public RunPicture? Last { get; private set; }

    /// <summary>End of the previous run: what comes before it belongs to nobody else.</summary>
    public long FloorTicks { get; private set; } = long.MinValue;

    public CarrierParts Parts => parts;

    public ImmutableArray<ProductWatch> Products => parts.Products;

    public void Use(Spec? spec, SpecTerm term, Timestamp time, List<EngineEvent> events)
    {
        (Spec, _term) = (spec, term);
        foreach (ProductWatch watch in parts.Products)
        {
            watch.Use(spec);
        }

        if (Run is not null)
        {
            TellPhases(time, events);
        }
    }

    /// <summary>A product channel's curve has grown.</summary>
    /// <param name="watch">The channel.</param>
    /// <param name="nextNumber">Number for a run that begins; counted up if one does.</param>
    /// <param name="events">Where events are added.</param>
    public void OnGrown(ProductWatch watch, ref long nextNumber, List<EngineEvent> events)
    {
        long now = watch.Track.Curve.LastTicks;
        if (Run is null)
        {
            if (cell.Rules.DetectRuns) // else nobody asks: a run begins when it is told to
            {
                watch.PushIdle(cell.Rules, FloorTicks);
            }

            watch.Track.Curve.DropBefore(Math.Max(FloorTicks, now - RunRules.HistoryTicks));
            if (watch.Rising && cell.Rules.DetectRuns && IsBoard(watch)
                && RunRules.StartOf(_boards, now, FloorTicks) is { } start)
            {
                Begin(new RunStart(start, "slope", new Timestamp(now)), ref nextNumber, events);
            }

            return;
        }

        bool moved = watch.PushRunning(cell.Rules);
        if (!IsBoard(watch))
        {
            return;
        }

        SeeProduct(now);
        LookForLift(watch, events);
        if (!Run.PassedSoakStart)
        {
            Run.PassedSoakStart = watch.Highest >= (Spec?.Soak?.From ?? ChannelLevels.DefaultSoakFrom);
        }

        if (moved && MovesPhases(watch))
        {
            TellPhases(new Timestamp(now), events);
        }

        if (Run.PassedSoakStart && cell.Rules.DetectRuns && RunRules.EndOf(_boards, watch, now, Spec, cell.Rules) is { } end)
        {
            End(end.Ticks, end.Reason, RunState.Ended, new Timestamp(now), events);
        }
    }

    /// <summary>Whether the first channel passed a level, the first melted, or the last froze: the others move no phase.</summary>
    private bool MovesPhases(ProductWatch watch)
    {
        bool anyHot = false;
        foreach (ProductWatch board in _boards)
        {
            anyHot |= board.Hot;
        }

        bool moves = watch.MarksPassed > Run!.MarksPassed || anyHot != Run.AnyHot;
        (Run.MarksPassed, Run.AnyHot) = (Math.Max(Run.MarksPassed, watch.MarksPassed), anyHot);
        return moves;
    }

    private bool IsBoard(ProductWatch watch) => _airCounts || watch.IsProduct;

    /// <summary>A product channel gave a reading that cannot be judged.</summary>
    public void OnRefused(Timestamp time, List<EngineEvent> events)
    {
        if (Run is not null && cell.Rules.DetectRuns && RunRules.AreUnplugged(_boards, time.UtcTicks, Run.StartTicks))
        {
            // The readings that still wait for a follower are the last ones.
            long end = long.MaxValue;
            foreach (ProductWatch watch in _boards)
            {
                watch.Track.Flush(long.MaxValue);
                if (watch.Track.Curve.Count > 0 && watch.Track.Curve.LastTicks >= Run.StartTicks
                    && time.UtcTicks - watch.Track.Curve.LastTicks <= RunRules.SilentTicks)
                {
                    end = Math.Min(end, watch.Track.Curve.LastTicks);
                }
            }

            End(end, "unplugged", RunState.Ended, time, events);
        }
    }

    /// <summary>Begins a run; the carrier must have none.</summary>
    public void Begin(RunStart start, ref long nextNumber, List<EngineEvent> events)
    {
        bool giving = IsGiving(start.Time);
        Run = new RunInProgress(nextNumber, Name, start.Ticks)
        {
            StartReason = start.Reason,
            Kind = start.Kind ?? (giving ? RunKind.Profile : RunKind.Production),
            KindSaid = start.Kind is not null,
            HasProduct = giving,
            Recipe = start.Recipe ?? parts.Recipe?.Number,
            MachineLoad = parts.Load?.Number,
        };
        nextNumber = checked(nextNumber + 1);
        foreach (ProductWatch watch in parts.Products)
        {
            watch.BeginRun(start.Ticks, Spec);
        }

        if (giving && start.Reason is "slope" or "signal" && _boards.Any(w => RunRules.WarmAt(w, start.Ticks)))
        {
            Run.Note("warmStart");
        }

        if (start.NotSeen)
        {
            Run.Note(RunInProgress.StartNotSeen);
        }

        if (parts.Manual is { Value: not 0 and not double.NaN })
        {
            Run.Note(Intervened);
        }

        events.Add(new RunEvent(
            start.Time, Run.Number, Name, RunState.Started, new Timestamp(start.Ticks), null, start.Reason, Run.Kind, Run.Recipe));
        TellPhases(start.Time, events);
    }

    public void End(long endTicks, string reason, RunState state, Timestamp time, List<EngineEvent> events)
    {
        RunInProgress run = Run!;
        Last = Picture(run, endTicks, final: true, reason) with { End = new Timestamp(endTicks), EndReason = reason };
        Run = null;
        _term = _term == SpecTerm.OneRun ? SpecTerm.UntilTold : _term;
        FloorTicks = endTicks;
        _cycles.Add(endTicks - run.StartTicks);
        if (_cycles.Count > UsualRuns)
        {
            _cycles.RemoveAt(0);
        }

        LearnCycle();

        foreach (ProductWatch watch in parts.Products)
        {
            watch.EndRun(endTicks);
        }

        foreach (FigureResult figure in Last.Figures)
        {
            events.Add(new FigureEvent(time, run.Number, figure));
        }

        events.Add(new RunEvent(time, run.Number, Name, state, new Timestamp(run.StartTicks), new Timestamp(endTicks), reason, run.Kind, run.Recipe));
    }

    /// <summary>Looks for phases anew, and tells those that have begun.</summary>
    public void TellPhases(Timestamp time, List<EngineEvent> events)
    {
        Run!.Phases = Phases(Run, time.UtcTicks, open: true);
        int evacuations = 0;
        foreach (PhaseSpan phase in Run.Phases)
        {
            evacuations += phase.Name == "evacuate" ? 1 : 0;
            if (Run.Told.Add(phase.Track == PhaseTrack.Vacuum ? $"{phase.Name}{evacuations}" : phase.Name))
            {
                events.Add(new PhaseEvent(time, Run.Number, phase with { End = null }));
            }
        }
    }

    /// <summary>The open run, or else the last; null before the first.</summary>
    public RunPicture? Picture(Timestamp now) => Run is null ? Last : Picture(Run, now.UtcTicks, final: false);

    private ImmutableArray<PhaseSpan> Phases(RunInProgress run, long to, bool open)
    {
        var phases = ImmutableArray.CreateBuilder<PhaseSpan>();
        if (!run.IsMeasured)
        {
            AddVapourPhase(phases, run, to, open);
        }
        else if (_boards.Length > 0)
        {
            PhaseBuilder.Thermal(phases, _boards, Spec, run.StartTicks, to, open);
        }

        if (parts.Gauge is { } gauge)
        {
            PhaseBuilder.Vacuum(phases, gauge, run.Steps, Spec?.Vacuum, to, open);
        }

        return phases.ToImmutable();
    }

    private RunScope ScopeOf(RunInProgress run, long endTicks, bool final) =>
        new(cell, parts, Spec, run, endTicks, final, !double.IsNaN(vacuum.RestPressure));

    private RunPicture Picture(RunInProgress run, long endTicks, bool final, string? reason = null)
    {
        RunScope scope = ScopeOf(run, endTicks, final);
        ImmutableArray<FigureResult> figures = RunEvaluator.Figures(scope);
        (Verdict? verdict, ImmutableArray<string> reasons) = (null, []);
        if (final)
        {
            // Without product sensors nothing is judged: such a run is held against released ones, and that is not done here.
            List<string> ofRun = RunReasons(scope, reason);
            reasons = [.. ofRun];
            if (run.IsMeasured)
            {
                (verdict, reasons) = RunVerdict.Of(figures, Spec is { Limits.IsEmpty: false }, ofRun);
            }
        }

        return new RunPicture
        {
            Number = run.Number,
            Carrier = Name,
            Kind = run.Kind,
            Recipe = run.Recipe,
            Load = run.MachineLoad,
            StartReason = run.StartReason,
            Start = new Timestamp(run.StartTicks),
            Notes = [.. run.Notes],
            SpecName = Spec?.Name,
            SpecVersion = Spec?.Version,
            Phases = final ? Phases(run, endTicks, open: false) : run.Phases,
            Figures = figures,
            Gaps = GapFinder.Of(scope),
            Verdict = verdict,
            Reasons = reasons,
        };
    }

    private static List<string> RunReasons(RunScope scope, string? endReason)
    {
        List<string> reasons = [];
        if (VacuumFigures.AreUnexpected(scope))
        {
            reasons.Add("unexpectedVacuum");
        }

        if (endReason == "abandoned")
        {
            reasons.Add(endReason);
        }

        return reasons;
    }
}
