using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator.Instruments;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Puts a frame into registers as <see cref="RegisterMap"/> says. Pure.</summary>
internal static class FrameEncoder
{
    /// <summary>One register of a frame; false if there is none at this address.</summary>
    public static bool TryRead(InstrumentFrame frame, RegisterTable table, int address, out ushort value)
    {
        value = 0;
        if (table == RegisterTable.Input)
        {
            return TryPair(address, i => BitConverter.SingleToUInt32Bits(frame.Values[i]), WordOrder.Abcd, out value)
                || TryMachine(frame.Machine, address, out value);
        }

        if (table == RegisterTable.Discrete)
        {
            return TryContact(frame.Machine.First, address, out value)
                || TryContact(frame.Machine.Second ?? default, address - RegisterMap.SecondContacts, out value);
        }

        if (address is >= RegisterMap.TenthsStart and < RegisterMap.TenthsStart + SimulatedChannels.Count)
        {
            value = unchecked((ushort)Tenths(frame, address - RegisterMap.TenthsStart));
            return true;
        }

        if (address is >= RegisterMap.UnsignedStart and < RegisterMap.UnsignedStart + SimulatedChannels.Count)
        {
            value = Unsigned(frame, address - RegisterMap.UnsignedStart);
            return true;
        }

        int block = address / 100, offset = address % 100;
        return block switch
        {
            >= 1 and <= 4 => TryPair(offset, i => unchecked((uint)Whole(frame, i)), (WordOrder)(block - 1), out value),
            >= 5 and <= 8 => TryPair(offset, i => BitConverter.SingleToUInt32Bits(frame.Values[i]), (WordOrder)(block - 5), out value),
            _ => false,
        };
    }

    private static bool TryPair(int offset, Func<int, uint> bits, WordOrder order, out ushort value)
    {
        value = 0;
        if (offset is < 0 or >= RegisterMap.InputCount)
        {
            return false;
        }

        (ushort first, ushort second) = WordOrders.Split(bits(offset / 2), order);
        value = offset % 2 == 0 ? first : second;
        return true;
    }

    private static bool TryMachine(MachineFrame machine, int address, out ushort value)
    {
        if (address is >= RegisterMap.Barometer and < RegisterMap.SecondTransport + 2)
        {
            float number = address < RegisterMap.SecondTransport ? machine.BarometerHpa : machine.SecondTransportMillivolts;
            (ushort first, ushort second) = WordOrders.Split(BitConverter.SingleToUInt32Bits(number), WordOrder.Abcd);
            value = address % 2 == 0 ? first : second;
            return true;
        }

        return TrySignal(machine.First, address - RegisterMap.FirstSignals, out value)
            || TrySignal(machine.Second ?? default, address - RegisterMap.SecondSignals, out value);
    }

    private static bool TrySignal(CarrierSignals signals, int offset, out ushort value)
    {
        value = unchecked((ushort)(offset switch
        {
            0 => (int)signals.Contacts,
            1 => signals.Recipe,
            2 => signals.Run,
            3 => signals.Boards,
            _ => (int)signals.Position,
        }));
        return offset is >= 0 and < RegisterMap.SignalCount;
    }

    private static bool TryContact(CarrierSignals signals, int bit, out ushort value)
    {
        value = (ushort)(((int)signals.Contacts >> (bit & 0xF)) & 1);
        return bit is >= 0 and < RegisterMap.ContactCount;
    }

    private static short Tenths(InstrumentFrame frame, int quantity)
    {
        double value = Celsius(frame, quantity);
        return double.IsNaN(value) ? RegisterMap.OpenInt16 : (short)Math.Clamp(Math.Round(value * 10), short.MinValue + 1, short.MaxValue - 1);
    }

    private static ushort Unsigned(InstrumentFrame frame, int quantity)
    {
        double value = Celsius(frame, quantity) * (quantity == SimulatedChannels.Pressure ? 10 : 100);
        return double.IsNaN(value) ? RegisterMap.OpenUInt16 : (ushort)Math.Clamp(Math.Round(value), 0, ushort.MaxValue - 1);
    }

    private static int Whole(InstrumentFrame frame, int quantity)
    {
        double value = frame.Values[quantity] * 1000.0;
        return double.IsNaN(value) ? RegisterMap.OpenInt32 : (int)Math.Clamp(Math.Round(value), int.MinValue + 1.0, int.MaxValue);
    }

    // The quantity in degC, as an instrument would that linearises by itself; pressure stays in mbar.
    private static double Celsius(InstrumentFrame frame, int quantity)
    {
        double value = frame.Values[quantity];
        return quantity >= SimulatedChannels.ThermocoupleCount || double.IsNaN(value)
            ? value
            : Linearisation.HotJunction(value + TypeK.MillivoltsAt(frame.ColdJunctionCelsius), value / 0.04);
    }
}
