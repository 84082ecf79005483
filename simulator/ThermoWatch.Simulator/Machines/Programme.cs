using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Machines;

/// <summary>What the chamber's valves do.</summary>
internal enum ValveState
{
    /// <summary>Joined to the room.</summary>
    Resting,

    /// <summary>Pump valve open.</summary>
    Pumping,

    /// <summary>All valves shut: the pressure creeps up by what leaks and gasses out.</summary>
    Shut,

    /// <summary>Vent valve open.</summary>
    Venting,
}

/// <summary>What the machine's own controller sees; it knows no board thermocouples but the hottest and coldest place.</summary>
internal readonly record struct ControllerView(bool Immersed, double ZoneBelowBoiling, double ChamberMbar, double AmbientMbar, double HottestCelsius, bool StationsAreFree);

/// <summary>The machine's programme: when it goes from one phase to the next.</summary>
internal sealed class Programme(double delaySeconds)
{
    private const double PumpTimeoutSeconds = 45; // the machine gives up on a target it cannot reach and goes on
    private const double FirstIdleSeconds = 10;
    private const double PlacedBeforeSeconds = 10; // an operator puts the carrier in, then starts the programme
    private double _sincePhase, _sincePlateau, _sinceTarget, _sinceStart;
    private int _stage;
    private bool _preVacuumDone;

    public MachinePhase Phase { get; private set; } = MachinePhase.Idle;

    public ValveState Valve { get; private set; }

    /// <summary>Since heating began, s; negative while boards wait.</summary>
    public double RunSeconds { get; private set; } = -FirstIdleSeconds - delaySeconds;

    /// <summary>Since this phase began, s.</summary>
    public double PhaseSeconds => _sincePhase;

    /// <summary>Boards came in with the last step, or were there at the start.</summary>
    public bool IsJustLoaded => Phase == MachinePhase.Idle && _sincePhase == 0;

    /// <summary>Set while the programme stands still.</summary>
    public bool Stopped { get; private set; }

    /// <summary>Whether the boards are in the vapour zone or the vacuum chamber.</summary>
    public bool IsAtStations =>
        Phase is MachinePhase.Vapour or MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent || Valve != ValveState.Resting;

    /// <summary>Where the carrier stands.</summary>
    public CarrierPosition Position => Phase switch
    {
        MachinePhase.Idle => CarrierPosition.Loading,
        MachinePhase.Soak => CarrierPosition.Soak,
        MachinePhase.Vapour => CarrierPosition.Vapour,
        MachinePhase.Cooling => CarrierPosition.Cooling,
        _ => CarrierPosition.Vacuum,
    };

    /// <summary>Contacts that are closed; a machine of standing vapour shuts its door for the vacuum only.</summary>
    public MachineContacts Contacts(bool vapourStands)
    {
        bool running = Phase != MachinePhase.Idle;
        bool shut = vapourStands ? Position == CarrierPosition.Vacuum || Valve != ValveState.Resting : running;
        return (running ? MachineContacts.RunActive : 0)
            | (running || RunSeconds >= -PlacedBeforeSeconds ? MachineContacts.CarrierPresent : 0)
            | (Phase == MachinePhase.Vapour ? MachineContacts.InVapour : 0)
            | (Valve == ValveState.Pumping ? MachineContacts.PumpValveOpen : 0)
            | (Valve == ValveState.Venting ? MachineContacts.VentValveOpen : 0)
            | (shut ? MachineContacts.ChamberClosed : 0);
    }

    /// <summary>Begins the wait for the next run: its loading, or what is left of the period between runs.</summary>
    public void AwaitNext(double runEverySeconds, double loadingSeconds)
    {
        double wait = Math.Max(loadingSeconds, runEverySeconds - _sinceStart);
        RunSeconds = -wait;
        _preVacuumDone = false;
        Enter(MachinePhase.Idle);
        Valve = ValveState.Resting;
    }

    /// <summary>One step; true when the boards have been unloaded and the next run's may come.</summary>
    public bool Step(RunPlan plan, ActiveFaults faults, in ControllerView view, double seconds)
    {
        RunSeconds += seconds;
        _sinceStart += seconds;
        Stopped = faults.Find(FaultKind.ProgrammeStopped) is not null;
        if (Stopped)
        {
            return false;
        }

        _sincePhase += seconds;
        switch (Phase)
        {
            case MachinePhase.Idle when RunSeconds >= 0:
                _sinceStart = RunSeconds;
                Enter(MachinePhase.Soak);
                break;
            case MachinePhase.Soak:
                Soak(plan.Recipe, view, seconds);
                break;
            case MachinePhase.Vapour:
                _sincePlateau = (view.Immersed && view.ZoneBelowBoiling < 1) || _sincePlateau > 0 ? _sincePlateau + seconds : 0;
                if (_sincePlateau >= plan.Recipe.PlateauSeconds + plan.Variation.DwellSeconds + faults.Amount(FaultKind.LateEvacuation, 0))
                {
                    _stage = 0;
                    Enter(plan.Recipe.Vacuum.IsEmpty ? MachinePhase.Cooling : MachinePhase.Evacuation);
                    Valve = plan.Recipe.Vacuum.IsEmpty ? ValveState.Resting : ValveState.Pumping;
                }

                break;
            case MachinePhase.Evacuation or MachinePhase.Hold:
                Vacuum(plan, faults, view, seconds);
                break;
            case MachinePhase.Vent when view.ChamberMbar >= 0.985 * view.AmbientMbar:
                Enter(MachinePhase.Cooling);
                break;
            case MachinePhase.Cooling:
                Valve = Valve == ValveState.Venting && view.ChamberMbar >= 0.999 * (view.AmbientMbar + plan.Recipe.VentOvershootMbar) ? ValveState.Resting : Valve;
                return view.HottestCelsius < plan.Recipe.UnloadCelsius;
        }

        return false;
    }

    private void Soak(Recipe recipe, in ControllerView view, double seconds)
    {
        if (recipe.PreVacuum is { } shallow && !_preVacuumDone)
        {
            PreVacuum(shallow, recipe, view, seconds);
        }

        // Another carrier may still be in the stations: then this one goes on soaking.
        if (_sincePhase >= recipe.SoakSeconds && view.StationsAreFree)
        {
            Valve = ValveState.Resting;
            Enter(MachinePhase.Vapour);
        }
    }

    private void PreVacuum(VacuumStage shallow, Recipe recipe, in ControllerView view, double seconds)
    {
        switch (Valve)
        {
            case ValveState.Resting when view.HottestCelsius >= recipe.PreVacuumAtCelsius && view.StationsAreFree:
                Valve = ValveState.Pumping;
                _sinceTarget = 0;
                break;
            case ValveState.Pumping when view.ChamberMbar <= shallow.TargetMbar:
                Valve = ValveState.Shut;
                break;
            case ValveState.Shut:
                _sinceTarget += seconds;
                Valve = _sinceTarget >= shallow.HoldSeconds ? ValveState.Venting : ValveState.Shut;
                break;
            case ValveState.Venting when view.ChamberMbar >= 0.985 * view.AmbientMbar:
                Valve = ValveState.Resting;
                _preVacuumDone = true;
                break;
        }
    }

    private void Vacuum(RunPlan plan, ActiveFaults faults, in ControllerView view, double seconds)
    {
        VacuumStage stage = plan.Recipe.Vacuum[_stage];
        bool last = _stage == plan.Recipe.Vacuum.Length - 1;
        _sinceTarget = view.ChamberMbar <= stage.TargetMbar || _sinceTarget > 0 ? _sinceTarget + seconds : 0;
        Valve = !last && _sinceTarget > 0 ? ValveState.Shut : ValveState.Pumping;
        if (last && Phase == MachinePhase.Evacuation && (_sinceTarget > 0 || _sincePhase > PumpTimeoutSeconds))
        {
            Enter(MachinePhase.Hold);
            _sinceTarget = seconds;
        }

        double hold = stage.HoldSeconds + (last ? plan.Variation.HoldSeconds + faults.Amount(FaultKind.LongHold, 0) : 0);
        if (_sinceTarget < hold || (last && Phase != MachinePhase.Hold))
        {
            return;
        }

        _sinceTarget = 0;
        if (last)
        {
            Enter(MachinePhase.Vent);
            Valve = ValveState.Venting;
        }
        else
        {
            _stage++;
        }
    }

    private void Enter(MachinePhase phase)
    {
        Phase = phase;
        _sincePhase = 0;
        _sincePlateau = 0;
        _sinceTarget = 0;
    }
}
