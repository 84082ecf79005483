namespace ThermoWatch.Simulator.Faults;

/// <summary>What can go wrong. The meaning of a fault's amount is given with each.</summary>
public enum FaultKind
{
    /// <summary>A thermocouple's wire breaks: the input reports open.</summary>
    OpenCircuit,

    /// <summary>A wire breaks and the input has no detection: the EMF wanders off, amount mV/s.</summary>
    OpenDrifting,

    /// <summary>The wires are swapped: the EMF has the wrong sign.</summary>
    Reversed,

    /// <summary>The wires touch at the terminals: the input reads the cold junction.</summary>
    Shorted,

    /// <summary>The bead comes off the board and mostly follows the gas; amount: share of the gas, 0 to 1.</summary>
    Detached,

    /// <summary>A type J wire on an input set to type K.</summary>
    WrongType,

    /// <summary>One input's terminals are warmer than the cold-junction sensor knows, amount K.</summary>
    ColdJunctionGradient,

    /// <summary>The wire has drifted, amount K at 230 degC.</summary>
    SensorDrift,

    /// <summary>Mains hum, amount: amplitude in µV.</summary>
    MainsPickup,

    /// <summary>The input repeats its last value.</summary>
    Stuck,

    /// <summary>The pump has lost speed, amount: share that is left.</summary>
    SlowPump,

    /// <summary>Air leaks in, amount mbar·l/s.</summary>
    Leak,

    /// <summary>Something in the chamber gives off gas: a load that dies away, amount mbar·l/s at the start.</summary>
    VirtualLeak,

    /// <summary>The vent valve hardly opens, amount: share of its area.</summary>
    StuckVent,

    /// <summary>Vapour heater is weak, amount: share of its power.</summary>
    WeakVapour,

    /// <summary>A radiant element sticks over one place, amount W.</summary>
    Overshoot,

    /// <summary>The programme evacuates late, amount s.</summary>
    LateEvacuation,

    /// <summary>The programme stays in the hold too long, amount s.</summary>
    LongHold,

    /// <summary>The walls are cold: boards freeze under vacuum; amount: how many times the usual wall loss.</summary>
    EarlyFreezing,

    /// <summary>Fans are weak, amount: share of the usual cooling.</summary>
    SlowCooling,

    /// <summary>The programme stops where it is, heaters off, boards in place, amount not used.</summary>
    ProgrammeStopped,

    /// <summary>The gauge gives no value.</summary>
    GaugeDead,

    /// <summary>The gauge's signal is below its live zero: it gives less than nothing.</summary>
    GaugeBelowZero,

    /// <summary>The gauge has drifted, amount: relative error.</summary>
    GaugeDrift,

    /// <summary>The line is cut: connections drop and none is taken.</summary>
    LineCut,

    /// <summary>The slave takes requests and says nothing.</summary>
    SlaveSilent,

    /// <summary>The slave answers every request with exception 04.</summary>
    SlaveExceptions,

    /// <summary>The line turns bytes into others.</summary>
    Garbage,

    /// <summary>The talking instrument's own clock steps, amount s.</summary>
    ClockStep,

    /// <summary>A clamp touches one place and draws heat from it, amount W at 230 degC.</summary>
    ColdSpot,
}
