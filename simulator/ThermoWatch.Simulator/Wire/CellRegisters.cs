using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Wire;

/// <summary>The registers of a living cell: each read is of one sample, so no value is torn.</summary>
public sealed class CellRegisters(LiveCell cell) : IRegisterSource
{
    /// <inheritdoc/>
    public LineState Line => cell.Look(static c => StateOf(c.Machine.Faults));

    /// <inheritdoc/>
    public bool TryRead(RegisterTable table, int address, Span<ushort> registers)
    {
        InstrumentFrame frame = cell.Look(static c => c.Instruments);
        for (int i = 0; i < registers.Length; i++)
        {
            if (!FrameEncoder.TryRead(frame, table, address + i, out registers[i]))
            {
                return false;
            }
        }

        return true;
    }

    internal static LineState StateOf(ActiveFaults faults)
    {
        if (!faults.Any)
        {
            return LineState.Healthy;
        }

        return faults.Find(FaultKind.LineCut) is not null ? LineState.Cut
            : faults.Find(FaultKind.SlaveSilent) is not null ? LineState.Silent
            : faults.Find(FaultKind.SlaveExceptions) is not null ? LineState.Refusing
            : faults.Find(FaultKind.Garbage) is not null ? LineState.Garbled
            : LineState.Healthy;
    }
}
