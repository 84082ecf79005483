namespace ThermoWatch.Domain.Signals;

/// <summary>What a signal from the machine says. A digital one is on when it is not zero. Stands in records by name.</summary>
public enum SignalMeaning
{
    /// <summary>Turning on begins a run of its carrier; one that is still open ends there.</summary>
    Start,

    /// <summary>Turning on ends the run of its carrier.</summary>
    Unload,

    /// <summary>On for as long as the machine works on its carrier: turning on begins a run, turning off ends it.</summary>
    Running,

    /// <summary>On from the beginning of an evacuation to the end of the vent that follows it.</summary>
    Valve,

    /// <summary>Number of the recipe that the machine runs.</summary>
    Recipe,

    /// <summary>Number of boards, or whatever the machine counts its load in.</summary>
    Load,

    /// <summary>On while somebody works the machine by hand: a run that sees it says <c>intervened</c>.</summary>
    Manual,
}
