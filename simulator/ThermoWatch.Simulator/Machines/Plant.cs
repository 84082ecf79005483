using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Machines;

/// <summary>A cell's machine with one carrier, or with two in flight half a cycle apart.</summary>
/// <remarks>
/// Two carriers share one vapour station and one vacuum station and never want the same at the same time: the period between a carrier's
/// runs is fixed and the second starts half of it later. So each carrier can be modelled with stations of its own, and what the cell's
/// sensors see is the station that is in use; a station not in use rests as the other does.
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
        if (scenario.Carriers == 2)
        {
            double period = Math.Max(PairPeriodSeconds, runEverySeconds);
            _machines =
            [
                new(scenario.Family, n => planner.Plan((2 * n) - 1), period, 0),
                new(scenario.Family, n => planner.Plan(2 * n), period, period / 2),
            ];
        }
        else
        {
            _machines = [new(scenario.Family, planner.Plan, runEverySeconds, 0)];
        }
    }

    /// <summary>One machine for each carrier.</summary>
    public IReadOnlyList<Machine> Machines => _machines;

    /// <summary>The machine whose vapour and vacuum stations are in use, else the first.</summary>
    public Machine Busy => _machines.Length == 2 && IsAtStations(_machines[1]) && !IsAtStations(_machines[0]) ? _machines[1] : _machines[0];

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
        SimulatedChannels.Vapour => Busy.Network.ZoneCelsius,
        SimulatedChannels.Transport => _machines[0].TransportCelsius,
        _ => Of(input).Network.Celsius[input],
    };

    /// <summary>One step of all machines; true for each that has just been loaded.</summary>
    public bool Step(double seconds)
    {
        bool loaded = false;
        foreach (Machine machine in _machines)
        {
            loaded |= machine.Step(seconds);
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

    private static bool IsAtStations(Machine machine) =>
        machine.Programme.Phase is MachinePhase.Vapour or MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent
        || machine.Programme.Valve != ValveState.Resting;
}
