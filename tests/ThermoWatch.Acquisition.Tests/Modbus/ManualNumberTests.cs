using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Acquisition.Tests.Modbus;

public sealed class ManualNumberTests
{
    [Theory]
    [InlineData(40001, ModbusTable.Holding, 0)]
    [InlineData(40108, ModbusTable.Holding, 107)] // the standard's example of function 03: registers 108 to 110 are sent as 107
    [InlineData(30009, ModbusTable.Input, 8)] // 6.4: input register 9
    [InlineData(10197, ModbusTable.Discrete, 196)] // 6.2: discrete input 197
    [InlineData(20, ModbusTable.Coil, 19)] // 6.1: coil 20
    [InlineData(465536, ModbusTable.Holding, 65535)]
    [InlineData(400001, ModbusTable.Holding, 0)]
    public void A_manual_s_number_is_one_more_than_the_wire_address(int number, ModbusTable table, int address)
    {
        Assert.True(ManualNumber.TryParse(number, out ModbusTable foundTable, out int foundAddress));
        Assert.Equal((table, address), (foundTable, foundAddress));
    }

    [Fact]
    public void Number_40001_sends_address_0()
    {
        Assert.True(ManualNumber.TryParse(40001, out ModbusTable table, out int address));
        byte[] pdu = new byte[5];
        ModbusRequest.Read(table, (ushort)address, 1).Encode(pdu);
        Assert.Equal("0300000001", Convert.ToHexString(pdu));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(20001)]
    [InlineData(40000)]
    [InlineData(465537)]
    [InlineData(-1)]
    public void What_no_manual_prints_is_refused(int number) => Assert.False(ManualNumber.TryParse(number, out _, out _));
}
