using ThermoWatch.Simulator.Tests.Runs;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator.Tests.Wire;

public class MachineSignalTests
{
    private const int Status = RegisterMap.FirstSignals;

    // Modbus Application Protocol V1.1b3, 6.2: discrete inputs 197 to 218 read as AC DB 35.
    [Fact]
    public void Published_read_of_discrete_inputs_gets_the_published_answer()
    {
        var inputs = new FixedRegisters();
        bool[] states = [.. "1010110011011011".Chunk(8).SelectMany(c => c.Reverse()).Concat("110101".Reverse()).Select(c => c == '1')];
        for (int i = 0; i < states.Length; i++)
        {
            inputs.Put(RegisterTable.Discrete, 0xC4 + i, states[i] ? (ushort)1 : (ushort)0);
        }

        byte[] answer = new byte[ModbusAnswer.MaxLength];
        int length = ModbusAnswer.Write([0x02, 0x00, 0xC4, 0x00, 0x16], inputs, false, answer);
        Assert.Equal([0x02, 0x03, 0xAC, 0xDB, 0x35], answer[..length]);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2001)]
    public void Quantity_of_bits_is_1_to_2000(int quantity)
    {
        byte[] answer = new byte[ModbusAnswer.MaxLength];
        int length = ModbusAnswer.Write([2, 0, 0, (byte)(quantity >> 8), (byte)(quantity & 0xFF)], new FixedRegisters(), false, answer);
        Assert.Equal([0x82, 3], answer[..length]);
    }

    [Theory]
    [InlineData(MachinePhase.Soak, MachineContacts.RunActive | MachineContacts.CarrierPresent | MachineContacts.ChamberClosed, 1)]
    [InlineData(MachinePhase.Vapour, MachineContacts.RunActive | MachineContacts.CarrierPresent | MachineContacts.InVapour | MachineContacts.ChamberClosed, 2)]
    [InlineData(MachinePhase.Hold, MachineContacts.RunActive | MachineContacts.CarrierPresent | MachineContacts.PumpValveOpen | MachineContacts.ChamberClosed, 3)]
    [InlineData(MachinePhase.Vent, MachineContacts.RunActive | MachineContacts.CarrierPresent | MachineContacts.VentValveOpen | MachineContacts.ChamberClosed, 3)]
    public void Registers_and_contacts_say_what_the_machine_does(MachinePhase phase, MachineContacts contacts, int position)
    {
        InstrumentFrame frame = Playback.Runs(new SimulatorOptions(), 1).First(s => s.Truth.Phase == phase).Frame;
        Assert.Equal([(int)contacts, 12, 1, 4, position], Read(frame, RegisterTable.Input, Status, RegisterMap.SignalCount));
        int[] inputs = Read(frame, RegisterTable.Discrete, 0, RegisterMap.ContactCount);
        Assert.Equal((int)contacts, inputs.Select((on, bit) => on << bit).Sum());
        Assert.Equal([0, 0, 0, 0, 0], Read(frame, RegisterTable.Input, RegisterMap.SecondSignals, RegisterMap.SignalCount));
        Assert.All(Read(frame, RegisterTable.Discrete, RegisterMap.SecondContacts, RegisterMap.ContactCount), on => Assert.Equal(0, on));
    }

    [Fact]
    public void Run_is_active_from_heating_to_unloading_and_the_carrier_is_there_ten_seconds_before()
    {
        var samples = Playback.Runs(new SimulatorOptions(), 3);
        foreach ((CellTruth truth, InstrumentFrame frame) in samples)
        {
            var contacts = (MachineContacts)Read(frame, RegisterTable.Input, Status, 1)[0];
            Assert.Equal(truth.Phase != MachinePhase.Idle, contacts.HasFlag(MachineContacts.RunActive));
            Assert.Equal(truth.RunTime.TotalSeconds >= -10 - 1e-9, contacts.HasFlag(MachineContacts.CarrierPresent));
        }

        Assert.Contains(samples, s => s.Truth.RunTime.TotalSeconds < -20);
    }

    [Fact]
    public void Second_carrier_has_signals_of_its_own()
    {
        var both = Playback.Runs(new SimulatorOptions { Scenario = "two-carriers" }, 3)
            .First(s => s.Truth.Phase == MachinePhase.Soak && s.Truth.RunNumber == 3 && s.Truth.Second!.Phase == MachinePhase.Hold);
        Assert.Equal((int)CarrierPosition.Soak, Read(both.Frame, RegisterTable.Input, Status + 4, 1)[0]);
        int[] second = Read(both.Frame, RegisterTable.Input, RegisterMap.SecondSignals, RegisterMap.SignalCount);
        Assert.Equal(2, second[2]);
        Assert.Equal((int)CarrierPosition.Vacuum, second[4]);
        Assert.Equal(1, Read(both.Frame, RegisterTable.Discrete, RegisterMap.SecondContacts + 3, 1)[0]);
        Assert.Equal(0, Read(both.Frame, RegisterTable.Discrete, 3, 1)[0]);
    }

    [Fact]
    public void Barometer_reads_the_room_and_not_the_chamber()
    {
        foreach ((CellTruth truth, InstrumentFrame frame) in Playback.Runs(new SimulatorOptions { Scenario = "low-barometer" }, 3))
        {
            int[] words = Read(frame, RegisterTable.Input, RegisterMap.Barometer, 2);
            float hpa = BitConverter.UInt32BitsToSingle(((uint)words[0] << 16) | (uint)words[1]);
            Assert.Equal(truth.AmbientMbar, hpa, 0.5);
        }
    }

    [Theory]
    [InlineData(RegisterTable.Input, 28)]
    [InlineData(RegisterTable.Input, 45)]
    [InlineData(RegisterTable.Input, 55)]
    [InlineData(RegisterTable.Discrete, 6)]
    [InlineData(RegisterTable.Discrete, 22)]
    [InlineData(RegisterTable.Discrete, 65535)]
    public void Addresses_beside_the_signals_do_not_exist(RegisterTable table, int address) =>
        Assert.False(new SimulatedCell(new SimulatorOptions()).Instruments.TryRead(table, address, new ushort[1]));

    private static int[] Read(InstrumentFrame frame, RegisterTable table, int address, int count)
    {
        var registers = new ushort[count];
        Assert.True(frame.TryRead(table, address, registers));
        return [.. registers.Select(r => (int)r)];
    }
}
