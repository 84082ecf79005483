namespace ThermoWatch.Simulator.Wire;

/// <summary>The tables of a slave that can be read.</summary>
public enum RegisterTable
{
    /// <summary>Holding registers, function 03.</summary>
    Holding,

    /// <summary>Input registers, function 04.</summary>
    Input,

    /// <summary>Discrete inputs, function 02; each is a register of 0 or 1 here.</summary>
    Discrete,
}

/// <summary>What the line does to the next answer.</summary>
public enum LineState
{
    /// <summary>Answers come.</summary>
    Healthy,

    /// <summary>Connections drop and none is taken.</summary>
    Cut,

    /// <summary>Requests are taken, nothing comes back.</summary>
    Silent,

    /// <summary>Every request is answered by exception 04.</summary>
    Refusing,

    /// <summary>Bytes arrive as others.</summary>
    Garbled,
}

/// <summary>Registers behind a slave.</summary>
public interface IRegisterSource
{
    /// <summary>What the line does now.</summary>
    LineState Line => LineState.Healthy;

    /// <summary>Reads registers of one moment; false if one of them does not exist.</summary>
    /// <param name="table">Which table.</param>
    /// <param name="address">Address of the first, from 0.</param>
    /// <param name="registers">Filled with the values.</param>
    bool TryRead(RegisterTable table, int address, Span<ushort> registers);
}
