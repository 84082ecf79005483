using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator;

/// <summary>What a simulated machine looks like from the wire.</summary>
public enum FaceKind
{
    /// <summary>Modbus TCP slave.</summary>
    ModbusTcp,

    /// <summary>Modbus RTU slave, unit 1.</summary>
    ModbusRtu,

    /// <summary>Talks comma-separated lines.</summary>
    Csv,

    /// <summary>Talks lines of key and value.</summary>
    KeyValue,

    /// <summary>Speaks when asked.</summary>
    Query,
}

/// <summary>How simulated machines are put on the wire.</summary>
public sealed record WireOptions
{
    /// <summary>TCP port on the loopback address; 0 takes a free one. Several machines take neighbouring ports, or free ones.</summary>
    public int Port { get; init; }

    /// <summary>Seconds of machine time in a second.</summary>
    public double Speed { get; init; } = 1;

    /// <summary>Machine time at which a machine is first seen.</summary>
    public TimeSpan StartAt { get; init; }

    /// <summary>File for what really is at 10 Hz of machine time, or null.</summary>
    public string? TruthPath { get; init; }

    /// <summary>What it looks like.</summary>
    public FaceKind Face { get; init; }

    /// <summary>Serial port; null: a TCP port, or for Modbus RTU a new pseudo-terminal.</summary>
    public string? Device { get; init; }

    /// <summary>Speed of the serial port.</summary>
    public int Baud { get; init; } = 19200;

    /// <summary>Parity of the serial port.</summary>
    public LineParity Parity { get; init; } = LineParity.Even;

    /// <summary>Number of machines; each has the seed of the one before plus 1.</summary>
    public int Cells { get; init; } = 1;
}
