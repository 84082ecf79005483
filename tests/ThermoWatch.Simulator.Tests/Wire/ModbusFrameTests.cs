using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator.Tests.Wire;

/// <summary>Whole frames from public test suites and field logs: reference/protocol/modbus_frames.csv, sources named per row.</summary>
public class ModbusFrameTests
{
    [Theory]
    [InlineData("tcp_fc03_tid0_unit17", RegisterTable.Holding, 0x7C, 0x008D, 0x008E)]
    [InlineData("tcp_fc03_2regs", RegisterTable.Holding, 3, 5, 6)]
    [InlineData("tcp_fc03_253_100", RegisterTable.Holding, 0, 253, 100)]
    [InlineData("tcp_fc04_2regs", RegisterTable.Input, 0x136, 0x000F, 0x423F)]
    public void Published_request_gets_the_published_answer(string name, RegisterTable table, int address, ushort first, ushort second)
    {
        var registers = new FixedRegisters();
        registers.Put(table, address, first);
        registers.Put(table, address + 1, second);
        (byte[] request, byte[] expected) = Frame(name);
        Assert.Equal(expected, Answer(request, registers));
    }

    [Theory]
    [InlineData("tcp_exc_unit255")]
    [InlineData("tcp_exc_02")]
    public void Published_request_for_registers_that_are_not_there_is_refused_as_published(string name)
    {
        (byte[] request, byte[] expected) = Frame(name);
        Assert.Equal(expected, Answer(request, new FixedRegisters()));
    }

    // The rows of a serial slave hold for the request and the answer behind the address just as well.
    [Theory]
    [InlineData("rtu_server_qty126")]
    [InlineData("rtu_server_addr_overflow")]
    public void Quantity_is_checked_before_the_address(string name)
    {
        (byte[] request, byte[] expected) = Frame(name);
        byte[] answer = new byte[ModbusAnswer.MaxLength];
        int length = ModbusAnswer.Write(request.AsSpan(1, request.Length - 3), new FixedRegisters(), false, answer);
        Assert.Equal(expected.AsSpan(1, expected.Length - 3), answer.AsSpan(0, length));
    }

    [Theory]
    [InlineData("tcp_fc01_unit2")]
    [InlineData("tcp_fc05_on")]
    public void Other_functions_are_refused_with_exception_01(string name)
    {
        (byte[] request, _) = Frame(name);
        byte[] answer = Answer(request, new FixedRegisters());
        Assert.Equal([request[0], request[1], 0, 0, 0, 3, request[6], (byte)(request[7] | 0x80), 1], answer);
    }

    [Theory]
    [InlineData("tcp_bad_protocol_id")]
    [InlineData("tcp_len_too_small")]
    public void Stream_that_is_no_modbus_is_broken(string name)
    {
        (_, byte[] bytes) = Frame(name);
        Assert.Equal(MbapFront.Broken, MbapFraming.Look(bytes, out _));
    }

    [Fact]
    public void Every_prefix_of_a_request_waits_for_more()
    {
        (byte[] request, _) = Frame("tcp_fc03_2regs");
        for (int i = 0; i < request.Length; i++)
        {
            Assert.Equal(MbapFront.NeedMore, MbapFraming.Look(request.AsSpan(0, i), out _));
        }

        Assert.Equal(MbapFront.Request, MbapFraming.Look(request, out int length));
        Assert.Equal(request.Length, length);
    }

    // 245.0, 247.5172 and -12.3 in IEEE 754, computed outside; A is the most significant byte.
    [Theory]
    [InlineData(245.0f, WordOrder.Abcd, 0x4375, 0x0000)]
    [InlineData(245.0f, WordOrder.Cdab, 0x0000, 0x4375)]
    [InlineData(245.0f, WordOrder.Badc, 0x7543, 0x0000)]
    [InlineData(245.0f, WordOrder.Dcba, 0x0000, 0x7543)]
    [InlineData(247.5172f, WordOrder.Abcd, 0x4377, 0x8467)]
    [InlineData(247.5172f, WordOrder.Dcba, 0x6784, 0x7743)]
    [InlineData(-12.3f, WordOrder.Cdab, 0xCCCD, 0xC144)]
    [InlineData(-12.3f, WordOrder.Badc, 0x44C1, 0xCDCC)]
    public void Words_stand_in_the_order_that_was_asked_for(float value, WordOrder order, ushort first, ushort second) =>
        Assert.Equal((first, second), WordOrders.Split(BitConverter.SingleToUInt32Bits(value), order));

    internal static (byte[] Request, byte[] Response) Frame(string name)
    {
        string[] row = Reference.Rows("protocol/modbus_frames.csv").Single(r => r[0] == name);
        return (Convert.FromHexString(row[2]), Convert.FromHexString(row[3]));
    }

    private static byte[] Answer(byte[] request, IRegisterSource source)
    {
        byte[] answer = new byte[MbapFraming.MaxLength];
        return answer[..MbapFraming.Answer(request, source, false, answer)];
    }
}
