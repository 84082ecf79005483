using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Physics;

namespace ThermoWatch.Simulator.Machines;

/// <summary>One soldering machine: its programme drives heaters and valves, physics answers.</summary>
internal sealed class Machine
{
    private const double ChamberLitres = 100;
    private const double PumpLitresPerSecond = 60;
    private const double LineLitresPerSecond = 106;
    private const double UsualGasLoad = 68;      // mbar·l/s: rests near 1.8 mbar
    private const double VentSquareMillimetres = 93;
    private const double CoolingShare = 0.50;
    private const double SecondFanCelsius = 120; // solder is solid by then, so the slope no longer matters to it
    private const double SecondFanGain = 1.7;
    private const double RoomCelsius = 24;
    private const double IdlePower = 0.1;
    private const double ClampCelsius = 230;     // a cold spot's amount holds for this temperature
    private const double DryZoneCelsius = 92;
    private const double DipKelvin = 0.5;
    private const double HeaterSeconds = 16;
    private const double DrainKelvin = 24;       // a hanging bead sits in cooler condensate that drains off: it reads low and smooth
    private readonly FamilyTraits _traits;
    private readonly Func<int, RunPlan> _plans;
    private readonly double _runEverySeconds;
    private readonly Stations _stations;
    private readonly SoakRegulator _regulator = new();
    private Surroundings _around;
    private int _run = 1;
    private double _wallLoss = 1;

    /// <param name="family">Kind of machine.</param>
    /// <param name="stations">Vapour and vacuum, its own or shared with another carrier's.</param>
    /// <param name="plans">Plan of this machine's first run, second run and so on.</param>
    /// <param name="runEverySeconds">Least period from start to start, s.</param>
    /// <param name="delaySeconds">Wait before the first run beyond the usual, s.</param>
    public Machine(MachineFamily family, Stations stations, Func<int, RunPlan> plans, double runEverySeconds, double delaySeconds)
    {
        Programme = new(delaySeconds);
        _traits = FamilyTraits.Of(family);
        _stations = stations;
        stations.Join(this);
        _plans = plans;
        _runEverySeconds = runEverySeconds;
        Plan = plans(1);
        Network = new(Boards.Places(Plan.Variation.Mass), Boards.Neighbour, stations.Zone, Plan.Recipe.FluidCelsius);
        TransportCelsius = 34;
        Load();
        if (stations.AreMovedBy(this))
        {
            stations.Zone.Celsius = _traits.VapourStands ? Boiling(Plan.AmbientMbar) : DryZoneCelsius;
        }
    }

    public RunPlan Plan { get; private set; }

    public ThermalNetwork Network { get; }

    private VacuumChamber Chamber => _stations.Chamber;

    public Programme Programme { get; }

    public ActiveFaults Faults { get; } = new();

    public double TransportCelsius { get; private set; }

    /// <summary>Temperature around the boards, degC: what a bead feels that hangs beside its board. In vacuum that is the glow of the walls.</summary>
    public double GasCelsius => Programme.Phase switch
    {
        MachinePhase.Vapour => Network.Zone.Celsius - DrainKelvin,
        MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent => _traits.VacuumWallCelsius,
        _ => _around.GasCelsius,
    };

    /// <summary>The programme's part of one step; true when new boards have just been put in.</summary>
    public bool Decide(double seconds)
    {
        Faults.At(Programme.RunSeconds);
        var view = new ControllerView(
            _around.Immersion >= 1, Boiling(Chamber.Mbar) - Network.Zone.Celsius, Chamber.Mbar, Chamber.AmbientMbar, Hottest(), _stations.AreFreeFor(this));
        bool unloaded = Programme.Step(Plan, Faults, view, seconds);
        if (unloaded)
        {
            Plan = _plans(++_run);
            Programme.AwaitNext(_runEverySeconds, Plan.LoadingSeconds + Plan.Variation.IdleSeconds);
            Load();
        }

        _stations.Hold(this, Programme.IsAtStations);
        return unloaded;
    }

    /// <summary>What physics makes of it, of the fixed length.</summary>
    public void Move(double seconds)
    {
        Surround(seconds);
        Network.Step(_around, seconds);
        if (_stations.AreMovedBy(this))
        {
            MoveGas(seconds);
        }

        MoveTransport(seconds);
    }

    /// <summary>Whether no thermocouple of the boards is plugged in now.</summary>
    public bool IsUnplugged => !Plan.Instrumented || (Programme.Phase == MachinePhase.Idle && Programme.PhaseSeconds < Plan.UnpluggedSeconds);

    /// <summary>What the controller tells of this carrier.</summary>
    public CarrierSignals Signals => new(
        Programme.Contacts(_traits.VapourStands), Plan.Recipe.Number, Plan.Number, Plan.Boards, Programme.Position);

    /// <summary>Stations for a family's machine.</summary>
    public static Stations NewStations(MachineFamily family, double ambientMbar) =>
        new(new VacuumChamber(ChamberLitres, ambientMbar), new VapourZone(FamilyTraits.Of(family).ZoneCapacity));

    private double Boiling(double hectopascals) =>
        BoilingPoint.CelsiusAt(Math.Max(hectopascals, 0.01), Plan.Recipe.FluidCelsius) + Plan.FluidShift;

    private void Load()
    {
        Faults.Plan(Plan.Faults);
        Faults.At(Programme.RunSeconds);
        _wallLoss = 1;
        Network.UsePlaces(Boards.Places(Plan.Variation.Mass));
        Network.PutBoards(Plan.StartCelsius);
        Network.LoadShare = Plan.Boards / 4.0;
        Chamber.AmbientMbar = Plan.AmbientMbar;
        _regulator.Reset(Plan.StartCelsius);
    }

    private double Hottest()
    {
        double hottest = double.MinValue;
        foreach (double celsius in Network.Celsius)
        {
            hottest = Math.Max(hottest, celsius);
        }

        return hottest;
    }

    private void Surround(double seconds)
    {
        bool inside = _stations.Holder == this;
        bool wasInVapour = _around.Immersion > 0;
        bool inVapour = Programme.Phase == MachinePhase.Vapour;
        double sink = Math.Min(1, Programme.PhaseSeconds / _traits.ImmersionSeconds);
        _around = new Surroundings
        {
            GasCelsius = RoomCelsius,
            WallCelsius = RoomCelsius + 40,
            Immersion = inVapour ? sink : 0,
            ZoneHoldsVapour = _traits.VapourStands || inVapour,
            ZoneRestCelsius = DryZoneCelsius,
            ZoneRestSeconds = 45,
            BoilingCelsius = Boiling(_traits.VapourStands ? Chamber.AmbientMbar : Chamber.Mbar),
            ChamberMbar = inside ? Chamber.Mbar : Chamber.AmbientMbar,
            ZoneIsElsewhere = !_stations.AreMovedBy(this),
            RadiantPlace = -1,
        };
        HeatBoards(seconds, wasInVapour);
        if (!_around.ZoneIsElsewhere)
        {
            HeatZone(inVapour, seconds);
        }

        SetWallLoss(Faults.Amount(FaultKind.EarlyFreezing, 1));
    }

    private void HeatBoards(double seconds, bool wasInVapour)
    {
        switch (Programme.Phase)
        {
            case MachinePhase.Idle:
                _around.WallCelsius = Plan.StartCelsius;
                _around.GasCelsius = Plan.StartCelsius;
                break;
            case MachinePhase.Soak:
                double set = Math.Min(Plan.Recipe.SoakCelsius + Plan.Variation.SoakKelvin, Plan.StartCelsius + (Plan.Recipe.SoakRampKelvinPerSecond * Programme.PhaseSeconds));
                _regulator.Step(Programme.Stopped ? RoomCelsius : set, Network.Celsius[2], seconds);
                _around.GasCelsius = _regulator.AirCelsius;
                _around.GasShare = _around.ChamberMbar / Chamber.AmbientMbar;
                _around.WallCelsius = Network.Celsius[2];
                _around.ZoneRestCelsius = 150;
                _around.ZoneRestSeconds = 38;
                break;
            case MachinePhase.Vapour:
                _around.WallCelsius = 200;
                break;
            case MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent:
                _around.WallCelsius = _traits.VacuumWallCelsius;
                _around.ZoneRestCelsius = 190;
                _around.ZoneRestSeconds = 210;
                break;
            case MachinePhase.Cooling:
                double fans = Hottest() < SecondFanCelsius ? SecondFanGain : 1;
                _around.GasShare = fans * CoolingShare * Plan.Variation.CoolingShare * Faults.Amount(FaultKind.SlowCooling, 1);
                break;
        }

        // A stuck element shines until the fault ends, whatever the programme does.
        if (Faults.Any && FindAtPlace(FaultKind.Overshoot) is { } overshoot && (wasInVapour || _around.Immersion > 0 || Programme.Phase == MachinePhase.Evacuation))
        {
            _around.RadiantPlace = overshoot.Channel;
            _around.RadiantWatts = overshoot.Amount;
        }
        else if (Faults.Any && FindAtPlace(FaultKind.ColdSpot) is { } clamp)
        {
            _around.RadiantPlace = clamp.Channel;
            _around.RadiantWatts = -clamp.Amount * (Network.Celsius[clamp.Channel] - RoomCelsius) / (ClampCelsius - RoomCelsius);
        }
    }

    private PlannedFault? FindAtPlace(FaultKind kind)
    {
        for (int place = 0; place < SimulatedChannels.ProductCount; place++)
        {
            if (Faults.Find(kind, place) is { } found)
            {
                return found;
            }
        }

        return null;
    }

    private void HeatZone(bool inVapour, double seconds)
    {
        if (_traits.VapourStands)
        {
            // A standing zone idles at low power and its heater comes up late: a load makes the vapour dip.
            double wanted = Programme.Stopped ? 0 : _around.BoilingCelsius - Network.Zone.Celsius > DipKelvin ? 1 : IdlePower;
            _stations.HeaterShare += (wanted - _stations.HeaterShare) * (1 - Math.Exp(-seconds / HeaterSeconds));
        }
        else
        {
            // A dosed chamber gets the power that the recipe of this load asks for.
            _stations.HeaterShare = inVapour && !Programme.Stopped ? PowerShare(Plan.Boards) : 0;
        }

        _around.VapourWatts = _traits.VapourWatts * _stations.HeaterShare * Plan.Variation.VapourPower * Faults.Amount(FaultKind.WeakVapour, 1);
    }

    // Recipes of small loads ask for less power, or the slope passes what paste allows; not quite in proportion.
    private static double PowerShare(int boards) => 0.28 + (0.72 * boards / 4);

    private void SetWallLoss(double factor)
    {
        if (factor != _wallLoss)
        {
            _wallLoss = factor;
            Network.UsePlaces(Boards.Places(Plan.Variation.Mass, factor));
        }
    }

    private void MoveGas(double seconds)
    {
        double pump = PumpLitresPerSecond * Plan.Variation.PumpSpeed * Faults.Amount(FaultKind.SlowPump, 1);
        double load = UsualGasLoad + Faults.Amount(FaultKind.Leak, 0);
        if (Faults.Find(FaultKind.VirtualLeak) is { } outgassing)
        {
            load += outgassing.Amount * Math.Exp(-Faults.Since(outgassing) / 25);
        }

        switch (Programme.Valve)
        {
            case ValveState.Pumping:
                Chamber.Pump(VacuumChamber.EffectiveSpeed(pump, LineLitresPerSecond), load, seconds);
                break;
            case ValveState.Shut:
                Chamber.Pump(0, load, seconds);
                break;
            case ValveState.Venting:
                Chamber.Vent(VentSquareMillimetres * Faults.Amount(FaultKind.StuckVent, 1), Chamber.AmbientMbar + Plan.Recipe.VentOvershootMbar, seconds);
                break;
            default:
                Chamber.Equalise(seconds);
                break;
        }
    }

    private void MoveTransport(double seconds)
    {
        (double towards, double timeConstant) = Programme.Phase switch
        {
            MachinePhase.Soak => ((0.94 * _regulator.AirCelsius) - 1, 25.0),
            MachinePhase.Vapour => (Network.Zone.Celsius, 16.0),
            MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent => (195.0, 150.0),
            _ => (34.0, 55.0),
        };
        TransportCelsius += (towards - TransportCelsius) * (1 - Math.Exp(-seconds / timeConstant));
    }
}
