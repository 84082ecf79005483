using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Wire;

/// <summary>The registers of a living cell: each read is of one sample, so no value is torn.</summary>
public sealed class CellRegisters(LiveCell cell) : IRegisterSource
{
    /// <inheritdoc/>
    public LineState Line => LineOf(cell);

    /// <inheritdoc/>
    public bool TryRead(RegisterTable table, int address, Span<ushort> registers) =>
        cell.Look(static c => c.Instruments).TryRead(table, address, registers);

    internal static LineState LineOf(LiveCell cell) => cell.Look(static c => StateOf(c.Plant));

    internal static LineState StateOf(Plant plant) =>
        plant.Has(FaultKind.LineCut) ? LineState.Cut
        : plant.Has(FaultKind.SlaveSilent) ? LineState.Silent
        : plant.Has(FaultKind.SlaveExceptions) ? LineState.Refusing
        : plant.Has(FaultKind.Garbage) ? LineState.Garbled
        : LineState.Healthy;
}
