using ThermoWatch.Simulator.Physics;

namespace ThermoWatch.Simulator.Machines;

/// <summary>The vapour zone and the vacuum chamber of a cell: one of each, for one carrier at a time.</summary>
internal sealed class Stations(VacuumChamber chamber, VapourZone zone)
{
    private Machine? _resting;

    public VacuumChamber Chamber { get; } = chamber;

    public VapourZone Zone { get; } = zone;

    /// <summary>Share of the vapour heater's power that it gives now.</summary>
    public double HeaterShare { get; set; }

    /// <summary>Whose boards are in the stations, or null.</summary>
    public Machine? Holder { get; private set; }

    /// <summary>Whose step moves zone and chamber: the holder's, else that of the first machine that came.</summary>
    public bool AreMovedBy(Machine machine) => (Holder ?? _resting) == machine;

    /// <summary>One more carrier shares them.</summary>
    public void Join(Machine machine) => _resting ??= machine;

    /// <summary>Whether a carrier may come in.</summary>
    public bool AreFreeFor(Machine machine) => Holder is null || Holder == machine;

    /// <summary>A carrier comes in or goes.</summary>
    public void Hold(Machine machine, bool inside)
    {
        if (inside)
        {
            Holder = machine;
        }
        else if (Holder == machine)
        {
            Holder = null;
        }
    }
}
