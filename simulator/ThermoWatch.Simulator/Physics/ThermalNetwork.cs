namespace ThermoWatch.Simulator.Physics;

/// <summary>Boards as lumped masses in gas or condensing vapour, and the vapour zone they draw from.</summary>
/// <remarks>
/// Each place: C dT/dt = hA(Tzone - T) while colder than the vapour (condensation; zero at the boiling point), plus gas, wall,
/// neighbour on the same board, and a radiant element if one is stuck. A place hotter than the vapour loses heat to it as to a gas.
/// The zone: Cz dTz/dt = heater - condensation, so a heavy load draws the vapour down and its heating is limited by power: a line first,
/// an exponential later. Surplus vapour at the boiling point goes to the coil. Integrated by Heun's rule on a fixed step.
/// </remarks>
internal sealed class ThermalNetwork
{
    private const double FilmFlashSeconds = 3; // common practice: the dip at stroke start takes a few seconds
    private readonly Place[] _places;
    private readonly double[] _neighbour;
    private readonly double[] _now, _first, _second, _guess, _film;
    private readonly double _fluidCelsius;
    private double _zoneFirst, _zoneSecond;

    /// <param name="places">Two neighbouring places (0 and 1, 2 and 3 ...) sit on one board.</param>
    /// <param name="neighbour">Conduction between the two places of each board, W/K.</param>
    /// <param name="zone">The zone; several networks may draw from one, of which one at a time moves it.</param>
    /// <param name="fluidCelsius">Boiling point of the fluid at 1013.25 hPa.</param>
    public ThermalNetwork(IReadOnlyList<Place> places, double neighbour, VapourZone zone, double fluidCelsius)
    {
        _places = [.. places];
        _neighbour = [.. Enumerable.Repeat(neighbour, _places.Length / 2)];
        _now = new double[_places.Length];
        _first = new double[_places.Length];
        _second = new double[_places.Length];
        _guess = new double[_places.Length];
        _film = new double[_places.Length];
        Zone = zone;
        _fluidCelsius = fluidCelsius;
    }

    /// <summary>Temperatures of the places, degC.</summary>
    public ReadOnlySpan<double> Celsius => _now;

    /// <summary>The vapour zone that the boards draw from.</summary>
    public VapourZone Zone { get; }

    /// <summary>Boards in the zone for each one modelled: all places draw this many times their own condensation heat.</summary>
    public double LoadShare { get; set; } = 1;

    /// <summary>Where the heat went.</summary>
    public HeatLedger Ledger { get; } = new();

    /// <summary>Heat content of the boards against 0 degC, J.</summary>
    public double BoardJoules
    {
        get
        {
            double sum = 0;
            for (int i = 0; i < _places.Length; i++)
            {
                sum += _places[i].Capacity * _now[i];
            }

            return sum;
        }
    }

    /// <summary>Fresh boards, dry, at one temperature.</summary>
    public void PutBoards(double celsius)
    {
        Array.Fill(_now, celsius);
        Array.Clear(_film);
    }

    /// <summary>Replaces the thermal data: other boards, same machine.</summary>
    public void UsePlaces(IReadOnlyList<Place> places)
    {
        for (int i = 0; i < _places.Length; i++)
        {
            _places[i] = places[i];
        }
    }

    /// <summary>One step of the fixed length.</summary>
    public void Step(in Surroundings around, double seconds)
    {
        _zoneFirst = Rates(_now, Zone.Celsius, around, _first, seconds / 2);
        for (int i = 0; i < _now.Length; i++)
        {
            _guess[i] = _now[i] + (seconds * _first[i]);
        }

        _zoneSecond = Rates(_guess, Zone.Celsius + (seconds * _zoneFirst), around, _second, seconds / 2);
        for (int i = 0; i < _now.Length; i++)
        {
            double condensing = around.Immersion * _places[i].Condensation * Math.Max(0, Zone.Celsius - _now[i]);
            _now[i] += seconds / 2 * (_first[i] + _second[i]);
            Film(i, around, condensing, seconds);
        }

        if (around.ZoneIsElsewhere)
        {
            return;
        }

        Zone.Celsius += seconds / 2 * (_zoneFirst + _zoneSecond);
        if (around.ZoneHoldsVapour && Zone.Celsius > around.BoilingCelsius)
        {
            Ledger.Coil += Zone.Capacity * (Zone.Celsius - around.BoilingCelsius);
            Zone.Celsius = around.BoilingCelsius;
        }
    }

    private double Rates(double[] celsius, double zone, in Surroundings around, double[] rates, double weight)
    {
        double drawn = 0, gas = 0, wall = 0;
        for (int i = 0; i < celsius.Length; i++)
        {
            Place place = _places[i];
            double t = celsius[i];
            double below = zone - t;
            double vapour = around.Immersion * (below > 0 ? place.Condensation : place.Convection) * below;
            double fromGas = around.GasShare * place.Convection * (around.GasCelsius - t);
            double fromWall = place.Wall * (around.WallCelsius - t);
            double along = _neighbour[i / 2] * (celsius[i ^ 1] - t);
            double radiant = i == around.RadiantPlace ? around.RadiantWatts : 0;
            rates[i] = (vapour + fromGas + fromWall + along + radiant) / place.Capacity;
            drawn += vapour;
            gas += fromGas;
            wall += fromWall;
            Ledger.Radiant += weight * radiant;
        }

        Ledger.Condensed += weight * drawn;
        Ledger.FromGas += weight * gas;
        Ledger.FromWalls += weight * wall;
        Ledger.Heater += weight * around.VapourWatts;
        double loss = around.ZoneHoldsVapour || around.ZoneIsElsewhere ? 0 : Zone.Capacity * (zone - around.ZoneRestCelsius) / around.ZoneRestSeconds;
        Ledger.ZoneLoss += weight * loss;
        return (around.VapourWatts - (LoadShare * drawn) - loss) / Zone.Capacity;
    }

    private void Film(int i, in Surroundings around, double condensing, double seconds)
    {
        _film[i] = Math.Min(_places[i].FilmJoules, _film[i] + (condensing * seconds));
        bool boils = around.Immersion == 0 && _film[i] > 0
            && around.ChamberMbar < BoilingPoint.HectopascalsAt(_now[i], _fluidCelsius);
        if (!boils)
        {
            return;
        }

        double gone = _film[i] * (1 - Math.Exp(-seconds / FilmFlashSeconds));
        _film[i] -= gone;
        _now[i] -= gone / _places[i].Capacity;
        Ledger.Flashed += gone;
    }
}
