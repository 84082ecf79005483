using System.Collections.Concurrent;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Registers that a test fills: whatever is put in stands on the wire until it is changed.</summary>
public sealed class FixedRegisters : IRegisterSource
{
    private readonly ConcurrentDictionary<(RegisterTable, int), ushort> _registers = new();

    /// <inheritdoc/>
    public LineState Line { get; set; }

    /// <summary>Puts one register.</summary>
    public void Put(RegisterTable table, int address, ushort value) => _registers[(table, address)] = value;

    /// <summary>Puts a float32 into two registers.</summary>
    public void PutSingle(RegisterTable table, int address, float value, WordOrder order = WordOrder.Abcd)
    {
        (ushort first, ushort second) = WordOrders.Split(BitConverter.SingleToUInt32Bits(value), order);
        Put(table, address, first);
        Put(table, address + 1, second);
    }

    /// <summary>Puts a whole frame into the input registers as the register map has it.</summary>
    /// <param name="values">Up to twelve numbers in the order of <see cref="RegisterMap"/>.</param>
    public void PutFrame(ReadOnlySpan<float> values)
    {
        for (int i = 0; i < values.Length; i++)
        {
            PutSingle(RegisterTable.Input, RegisterMap.SingleAddress(i), values[i]);
        }
    }

    /// <inheritdoc/>
    public bool TryRead(RegisterTable table, int address, Span<ushort> registers)
    {
        for (int i = 0; i < registers.Length; i++)
        {
            if (!_registers.TryGetValue((table, address + i), out registers[i]))
            {
                return false;
            }
        }

        return true;
    }
}
