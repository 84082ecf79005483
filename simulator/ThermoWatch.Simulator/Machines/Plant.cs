using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Machines;

/// <summary>A cell's machine with one carrier, or with two in flight half a cycle apart.</summary>
/// <remarks>
/// Two carriers share one vapour station and one vacuum station. The period between a carrier's runs is fixed and the second starts half
/// of it later, so they seldom want them at the same time; when something delays one of them, the other goes on soaking until they are free.
/// </remarks>
internal sealed class Plant
{
    /// <summary>Least period between the runs of one of two carriers, s: half of it is longer than vapour and vacuum together.</summary>
    public const double PairPeriodSeconds = 420;

    private const int PlacesOfEach = SimulatedChannels.ProductCount / 2;
    private readonly Machine[] _machines;

    public Plant(Scenario scenario, int seed, double runEverySeconds)
    {
        var planner = new RunPlanner(scenario, seed);
        Stations = Machine.NewStations(scenario.Family, scenario.AmbientMbar);
        if (scenario.Carriers == 2)
        {
            double period = Math.Max(PairPeriodSeconds, runEverySeconds);
            _machines =
            [
                new(scenario.Family, Stations, n => planner.Plan((2 * n) - 1), period, 0),
                new(scenario.Family, Stations, n => planner.Plan(2 * n), period, period / 2),
            ];
        }
        else
        {
            _machines = [new(scenario.Family, Stations, planner.Plan, runEverySeconds, 0)];
        }
    }

    /// <summary>One machine for each carrier.</summary>
    public IReadOnlyList<Machine> Machines => _machines;

    /// <summary>The machine of carrier B, where there are two.</summary>
    public Machine? Second => _machines.Length == 2 ? _machines[1] : null;

    /// <summary>Vapour and vacuum.</summary>
    public Stations Stations { get; }

    /// <summary>The machine whose boards are in the stations, else the first.</summary>
    public Machine Busy => Stations.Holder ?? _machines[0];

    /// <summary>The machine that a thermocouple input belongs to: with two carriers four places on each, and the stations' own.</summary>
    public Machine Of(int input) => input switch
    {
        SimulatedChannels.Vapour => Busy,
        SimulatedChannels.Transport => _machines[0],
        _ => _machines[_machines.Length == 2 ? input / PlacesOfEach : 0],
    };

    /// <summary>True temperature at a thermocouple input, degC.</summary>
    public double Place(int input) => input switch
    {
        SimulatedChannels.Vapour => Stations.Zone.Celsius,
        SimulatedChannels.Transport => _machines[0].TransportCelsius,
        _ => Of(input).Network.Celsius[input],
    };

    /// <summary>One step of all machines; true for each that has just been loaded.</summary>
    public bool Step(double seconds)
    {
        bool loaded = false;
        foreach (Machine machine in _machines)
        {
            loaded |= machine.Decide(seconds);
        }

        foreach (Machine machine in _machines)
        {
            machine.Move(seconds);
        }

        return loaded;
    }

    /// <summary>An acting fault of the wire, of whichever carrier's run it was planned for.</summary>
    public bool Has(FaultKind kind)
    {
        foreach (Machine machine in _machines)
        {
            if (machine.Faults.Find(kind) is not null)
            {
                return true;
            }
        }

        return false;
    }
}
