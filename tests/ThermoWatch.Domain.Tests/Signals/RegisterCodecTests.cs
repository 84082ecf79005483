using CsCheck;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Signals;

public class RegisterCodecTests
{
    // IEEE 754 words in the four orders, as Modbus tutorials and two makers' manuals arrange them.
    [Theory]
    [InlineData(245.0f, 0x4375, 0x0000, WordOrder.Abcd)]
    [InlineData(245.0f, 0x0000, 0x4375, WordOrder.Cdab)]
    [InlineData(245.0f, 0x7543, 0x0000, WordOrder.Badc)]
    [InlineData(245.0f, 0x0000, 0x7543, WordOrder.Dcba)]
    [InlineData(247.5172f, 0x4377, 0x8467, WordOrder.Abcd)]
    [InlineData(247.5172f, 0x8467, 0x4377, WordOrder.Cdab)]
    [InlineData(247.5172f, 0x7743, 0x6784, WordOrder.Badc)]
    [InlineData(247.5172f, 0x6784, 0x7743, WordOrder.Dcba)]
    [InlineData(-12.3f, 0xC144, 0xCCCD, WordOrder.Abcd)]
    [InlineData(-12.3f, 0xCCCD, 0xC144, WordOrder.Cdab)]
    [InlineData(-12.3f, 0x44C1, 0xCDCC, WordOrder.Badc)]
    [InlineData(-12.3f, 0xCDCC, 0x44C1, WordOrder.Dcba)]
    [InlineData(3.0e37f, 0x528E, 0xB47D, WordOrder.Dcba)]
    public void Float_is_read_in_each_of_the_four_orders(float value, int first, int second, WordOrder order) =>
        Assert.Equal(Converted.Good(value), RegisterCodec.Decode([(ushort)first, (ushort)second], RegisterType.Float32, order));

    [Theory]
    [InlineData(RegisterType.Int16, 0xFF85, 0, -123)] // -12.3 °C in tenths
    [InlineData(RegisterType.UInt16, 0xFF85, 0, 65413)]
    [InlineData(RegisterType.Int16, 0x0992, 0, 2450)]
    [InlineData(RegisterType.Int32, 0xFFFF, 0xFF85, -123)]
    [InlineData(RegisterType.Int32, 0x7FFF, 0xFFFF, 2147483647.0)]
    [InlineData(RegisterType.UInt32, 0xFFFF, 0xFF85, 4294967173.0)]
    public void Integer_is_read_with_its_sign(RegisterType type, int first, int second, double value) =>
        Assert.Equal(Converted.Good(value), RegisterCodec.Decode([(ushort)first, (ushort)second], type));

    [Theory]
    [InlineData(0x7FC0, 0)] // quiet NaN
    [InlineData(0x7F80, 0)] // infinity
    [InlineData(0xFF80, 0)] // minus infinity
    public void Float_that_is_no_number_is_bad(int first, int second) =>
        Assert.Equal(Converted.Bad(QualityReason.NotANumber), RegisterCodec.Decode([(ushort)first, (ushort)second], RegisterType.Float32));

    [Theory]
    [InlineData(RegisterType.Int16, 0)]
    [InlineData(RegisterType.UInt16, 0)]
    [InlineData(RegisterType.Int32, 1)]
    [InlineData(RegisterType.UInt32, 1)]
    [InlineData(RegisterType.Float32, 1)]
    public void Too_few_registers_are_garbled(RegisterType type, int count) =>
        Assert.Equal(Converted.Bad(QualityReason.Garbled), RegisterCodec.Decode(new ushort[count], type));

    [Fact]
    public void Every_float_survives_the_wire_in_every_order() =>
        Gen.Select(Gen.Float, Gen.Enum<WordOrder>()).Sample((value, order) =>
        {
            byte[] abcd = BitConverter.GetBytes(value);
            Array.Reverse(abcd); // A first
            string letters = order.ToString().ToUpperInvariant();
            byte[] wire = [.. letters.Select(letter => abcd[letter - 'A'])];
            Converted read = RegisterCodec.Decode([(ushort)((wire[0] << 8) | wire[1]), (ushort)((wire[2] << 8) | wire[3])], RegisterType.Float32, order);
            Assert.Equal(float.IsFinite(value) ? Converted.Good(value) : Converted.Bad(QualityReason.NotANumber), read);
        });
}
