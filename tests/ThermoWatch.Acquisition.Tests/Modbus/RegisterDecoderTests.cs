using System.Buffers.Binary;
using CsCheck;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Modbus;

public sealed class RegisterDecoderTests
{
    // IEEE 754 singles: 245.0 = 43750000h, 247.5172 = 43778467h, -12.3 = C144CCCDh, 3.0e37 = 7DB48E52h
    // (checked with Python's struct.pack('>f', x)); the other columns permute these bytes.
    [Theory]
    [InlineData(245.0f, "43750000", "00004375", "75430000", "00007543")]
    [InlineData(247.5172f, "43778467", "84674377", "77436784", "67847743")]
    [InlineData(-12.3f, "C144CCCD", "CCCDC144", "44C1CDCC", "CDCC44C1")]
    [InlineData(3.0e37f, "7DB48E52", "8E527DB4", "B47D528E", "528EB47D")]
    public void Float_is_read_in_all_four_orders(float value, string abcd, string cdab, string badc, string dcba)
    {
        Assert.Equal(value, Decode(abcd, PointType.Float32, WordOrder.Abcd));
        Assert.Equal(value, Decode(cdab, PointType.Float32, WordOrder.Cdab));
        Assert.Equal(value, Decode(badc, PointType.Float32, WordOrder.Badc));
        Assert.Equal(value, Decode(dcba, PointType.Float32, WordOrder.Dcba));
    }

    // 999999 = 000F423Fh: a field log in pymodbus-dev/pymodbus#2777.
    [Theory]
    [InlineData("000F423F", PointType.UInt32, WordOrder.Abcd, 999999)]
    [InlineData("423F000F", PointType.UInt32, WordOrder.Cdab, 999999)]
    [InlineData("FFFFFF85", PointType.Int32, WordOrder.Abcd, -123)]
    [InlineData("FFFFFF85", PointType.UInt32, WordOrder.Abcd, 4294967173)]
    [InlineData("FF85", PointType.Int16, WordOrder.Abcd, -123)]
    [InlineData("85FF", PointType.Int16, WordOrder.Badc, -123)]
    [InlineData("FF85", PointType.UInt16, WordOrder.Abcd, 65413)]
    [InlineData("FF85", PointType.UInt16, WordOrder.Cdab, 65413)]
    [InlineData("FFFFFFFFFFFFFF85", PointType.Int64, WordOrder.Abcd, -123)]
    [InlineData("405EC00000000000", PointType.Float64, WordOrder.Abcd, 123.0)]
    [InlineData("00000000C000405E", PointType.Float64, WordOrder.Cdab, 123.0)]
    public void Numbers_of_every_type(string hex, PointType type, WordOrder order, double value) => Assert.Equal(value, Decode(hex, type, order));

    [Theory]
    [InlineData(0, 1)]
    [InlineData(1, 0)]
    [InlineData(15, 1)]
    public void A_bit_of_a_status_word(int bit, double value) =>
        Assert.Equal(value, RegisterDecoder.Decode(Convert.FromHexString("8001"), PointType.Bit, WordOrder.Abcd, bit));

    [Theory]
    [InlineData(0, 4, 0xD)]
    [InlineData(4, 8, 0xBC)]
    [InlineData(0, 16, 0xABCD)]
    [InlineData(15, 1, 1)]
    public void A_field_of_a_status_word(int bit, int count, double value) =>
        Assert.Equal(value, RegisterDecoder.Decode(Convert.FromHexString("ABCD"), PointType.Bit, WordOrder.Abcd, bit, count));

    [Theory]
    [InlineData("7FC00000")]
    [InlineData("7F800000")]
    [InlineData("FF800000")]
    public void A_float_that_is_no_number_has_no_value(string hex)
    {
        double value = RegisterDecoder.DecodeForScan(Convert.FromHexString(hex), PointType.Float32, WordOrder.Abcd, 0, 1, out SignalQuality quality);
        Assert.Equal((double.NaN, SignalQuality.Bad(QualityReason.NotANumber)), (value, quality));
    }

    [Fact]
    public void Orders_are_permutations_that_undo_themselves() => Gen.Int.Sample(value =>
    {
        byte[] b = new byte[4];
        BinaryPrimitives.WriteInt32BigEndian(b, value);
        return Decode([b[2], b[3], b[0], b[1]], WordOrder.Cdab) == value
            && Decode([b[1], b[0], b[3], b[2]], WordOrder.Badc) == value
            && Decode([b[3], b[2], b[1], b[0]], WordOrder.Dcba) == value;
    });

    private static double Decode(byte[] bytes, WordOrder order) => RegisterDecoder.Decode(bytes, PointType.Int32, order);

    private static double Decode(string hex, PointType type, WordOrder order) => RegisterDecoder.Decode(Convert.FromHexString(hex), type, order);
}
