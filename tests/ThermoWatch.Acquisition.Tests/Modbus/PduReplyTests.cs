using CsCheck;
using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Acquisition.Tests.Modbus;

// The layouts are those of the Modbus Application Protocol V1.1b3, section 6.
public sealed class PduReplyTests
{
    [Theory]
    [InlineData(1, "AE")]
    [InlineData(125, "")]
    public void Register_reply_must_carry_exactly_the_registers_asked(int quantity, string surplus)
    {
        ModbusRequest request = ModbusRequest.Read(ModbusTable.Input, 7, quantity);
        byte[] good = [4, (byte)(2 * quantity), .. new byte[2 * quantity]];
        Assert.Equal(ReplyStatus.Ok, PduReply.Parse(good, request).Status);
        Assert.Equal(2 * quantity, PduReply.Parse(good, request).Data.Length);
        Assert.Equal(ReplyStatus.WrongLength, PduReply.Parse(good.AsSpan(..^1), request).Status);
        Assert.Equal(ReplyStatus.WrongFunction, PduReply.Parse([3, .. good[1..], .. Convert.FromHexString(surplus)], request).Status);
    }

    [Fact]
    public void Bit_reply_pads_to_whole_bytes()
    {
        ModbusRequest request = ModbusRequest.Read(ModbusTable.Coil, 0x13, 19); // section 6.1: coils 20 to 38
        PduReply reply = PduReply.Parse(Convert.FromHexString("0103CD6B05"), request);
        Assert.Equal(ReplyStatus.Ok, reply.Status);
        Assert.Equal("CD6B05", Convert.ToHexString(reply.Data));
    }

    [Fact]
    public void Exception_of_another_function_is_not_ours()
    {
        ModbusRequest request = ModbusRequest.Read(ModbusTable.Holding, 0, 1);
        Assert.Equal(ReplyStatus.WrongFunction, PduReply.Parse([0x84, 2], request).Status);
        Assert.Equal(ReplyStatus.Refused, PduReply.Parse([0x83, 2], request).Status);
        Assert.Equal(ReplyStatus.WrongLength, PduReply.Parse([0x83, 2, 0], request).Status);
    }

    [Fact]
    public void Unknown_exception_code_is_passed_on_as_a_number()
    {
        PduReply reply = PduReply.Parse([0x83, 0x7F], ModbusRequest.Read(ModbusTable.Holding, 0, 1));
        Assert.Equal((ReplyStatus.Refused, 0x7F), (reply.Status, reply.ExceptionCode));
        Assert.Contains("7F", ModbusExceptions.Meaning(0x7F), StringComparison.Ordinal);
    }

    [Fact]
    public void A_confirmed_write_must_be_our_write()
    {
        ModbusRequest request = ModbusRequest.WriteRegister(1, 3);
        Assert.Equal(ReplyStatus.Ok, PduReply.Parse([6, 0, 1, 0, 3], request).Status);
        Assert.Equal(ReplyStatus.WrongEcho, PduReply.Parse([6, 0, 1, 0, 4], request).Status);
        Assert.Equal(ReplyStatus.WrongEcho, PduReply.Parse([6, 0, 2, 0, 3], request).Status);
    }

    [Fact]
    public void Registers_asked_and_answered_come_back_unchanged() =>
        Gen.Byte.Array[2, 250].Where(b => b.Length % 2 == 0).Sample(registers =>
        {
            ModbusRequest request = ModbusRequest.Read(ModbusTable.Holding, 0, registers.Length / 2);
            byte[] pdu = [3, (byte)registers.Length, .. registers];
            return PduReply.Parse(pdu, request).Data.SequenceEqual(registers);
        });

    [Fact]
    public void Requests_beyond_the_standard_are_our_own_mistake()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => { ModbusRequest.Read(ModbusTable.Holding, 0, 126); });
        Assert.Throws<ArgumentOutOfRangeException>(() => { ModbusRequest.Read(ModbusTable.Coil, 0, 2001); });
        Assert.Throws<ArgumentOutOfRangeException>(() => { ModbusRequest.Read(ModbusTable.Holding, 65535, 2); });
        Assert.Throws<ArgumentOutOfRangeException>(() => { ModbusRequest.WriteRegisters(0, new byte[2 * 124]); });
        Assert.Throws<ArgumentOutOfRangeException>(() => { ModbusRequest.ReadWrite(0, 1, 0, new byte[2 * 122]); });
        Assert.Throws<ArgumentOutOfRangeException>(() => { ModbusRequest.Identify(5); });
    }
}
