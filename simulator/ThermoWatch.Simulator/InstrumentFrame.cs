using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator;

/// <summary>What the instruments say at one moment: the very float32 numbers that stand in the input registers.</summary>
/// <remarks>A history written from frames is what the wire would have said, to the bit.</remarks>
public sealed class InstrumentFrame : IRegisterSource
{
    private readonly float[] _values;

    internal InstrumentFrame(TimeSpan sampledAt, float[] values, MachineFrame machine)
    {
        Machine = machine;
        SampledAt = sampledAt;
        _values = values;
    }

    /// <summary>Machine time at which the instruments took this sample; a multiple of <see cref="SimulatedCell.SamplePeriod"/>.</summary>
    public TimeSpan SampledAt { get; }

    /// <summary>
    /// Eight product thermocouples, vapour and transport in mV, cold junction in degC, chamber pressure in mbar:
    /// <see cref="SimulatedChannels.Count"/> numbers in the order of <see cref="RegisterMap"/>. NaN: the instrument reports an open input.
    /// </summary>
    public ReadOnlySpan<float> Values => _values;

    /// <summary>Barometer, the second carrier's process sensor and the machine's own signals, of the same moment.</summary>
    public MachineFrame Machine { get; }

    /// <summary>EMF at one thermocouple input, mV (0..7 product, 8 vapour, 9 transport).</summary>
    /// <exception cref="ArgumentOutOfRangeException">No such input.</exception>
    public float Millivolts(int input)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(input);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(input, SimulatedChannels.ThermocoupleCount);
        return _values[input];
    }

    /// <summary>Temperature of the terminals as the instrument measures it, degC.</summary>
    public float ColdJunctionCelsius => _values[SimulatedChannels.ColdJunction];

    /// <summary>Chamber pressure as the gauge gives it, mbar absolute.</summary>
    public float PressureMbar => _values[SimulatedChannels.Pressure];

    /// <inheritdoc/>
    public bool TryRead(RegisterTable table, int address, Span<ushort> registers)
    {
        for (int i = 0; i < registers.Length; i++)
        {
            if (!FrameEncoder.TryRead(this, table, address + i, out registers[i]))
            {
                return false;
            }
        }

        return true;
    }
}
