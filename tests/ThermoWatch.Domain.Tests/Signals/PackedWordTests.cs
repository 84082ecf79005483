using CsCheck;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Signals;

/// <summary>Words worked out by hand from the bit tables of the converters' data sheets.</summary>
public class PackedWordTests
{
    [Theory]
    [InlineData(WordFormat.Quarters14Of32, 0x0F501910L, 245.0)]
    [InlineData(WordFormat.Quarters14Of32, 0xFF5C1910L, -10.25)]
    [InlineData(WordFormat.Sixteenths12Of32, 0x0F501910L, 25.0625)]
    [InlineData(WordFormat.Sixteenths12Of32, 0x0F50FFF0L, -0.0625)]
    [InlineData(WordFormat.Sixteenths12Of32, 0x00018001L, -128.0)] // the converter's own temperature stands even when the input is open
    [InlineData(WordFormat.Quarters12Of16, 0x1EA0L, 245.0)]
    [InlineData(WordFormat.Quarters12Of16, 0x7FF8L, 1023.75)]
    [InlineData(WordFormat.HundredTwentyEighths19Of24, 0x0F5020L, 245.0078125)]
    [InlineData(WordFormat.HundredTwentyEighths19Of24, 0xFF5C00L, -10.25)]
    [InlineData(WordFormat.HundredTwentyEighths19Of24, 0x0F503FL, 245.0078125)] // the five lowest bits mean nothing
    [InlineData(WordFormat.SixtyFourths14Of16, 0x1910L, 25.0625)]
    [InlineData(WordFormat.SixtyFourths14Of16, 0xFFFCL, -0.015625)]
    [InlineData(WordFormat.Sixteenths16, 0x0F51L, 245.0625)]
    [InlineData(WordFormat.Sixteenths16, 0xFF5CL, -10.25)]
    [InlineData(WordFormat.Tenths16, 0x0992L, 245.0)]
    [InlineData(WordFormat.Tenths16, 0xFF85L, -12.3)]
    [InlineData(WordFormat.ThousandTwentyFourths24Of32, 0x0103D480L, 245.125)]
    [InlineData(WordFormat.ThousandTwentyFourths24Of32, 0x01FFD700L, -10.25)]
    public void Word_stands_for_its_number(WordFormat format, long word, double value) =>
        Assert.Equal(Converted.Good(value), PackedWord.Decode(word, format));

    [Theory]
    [InlineData(WordFormat.Quarters14Of32, 0x0F511911L, QualityReason.OpenCircuit)]
    [InlineData(WordFormat.Quarters14Of32, 0x0F511912L, QualityReason.DeviceFault)] // short to ground
    [InlineData(WordFormat.Quarters14Of32, 0x0F511914L, QualityReason.DeviceFault)] // short to the supply
    [InlineData(WordFormat.Quarters14Of32, 0x0F511910L, QualityReason.DeviceFault)] // fault without a cause
    [InlineData(WordFormat.Quarters14Of32, 0x0F501911L, QualityReason.OpenCircuit)] // cause without the fault bit
    [InlineData(WordFormat.Quarters14Of32, 0x0F501912L, QualityReason.DeviceFault)]
    [InlineData(WordFormat.Quarters14Of32, 0x0F501914L, QualityReason.DeviceFault)]
    [InlineData(WordFormat.Quarters14Of32, 0xFFFFFFFFL, QualityReason.Garbled)] // a dead bus: reserved bits are set
    [InlineData(WordFormat.Quarters14Of32, 0x0F521910L, QualityReason.Garbled)]
    [InlineData(WordFormat.Sixteenths12Of32, 0x0F501918L, QualityReason.Garbled)]
    [InlineData(WordFormat.Quarters12Of16, 0x1EA4L, QualityReason.OpenCircuit)]
    [InlineData(WordFormat.Quarters12Of16, 0x9EA0L, QualityReason.Garbled)]
    [InlineData(WordFormat.ThousandTwentyFourths24Of32, 0x8103D480L, QualityReason.DeviceFault)]
    [InlineData(WordFormat.ThousandTwentyFourths24Of32, 0x4103D480L, QualityReason.DeviceFault)]
    [InlineData(WordFormat.ThousandTwentyFourths24Of32, 0x2103D480L, QualityReason.ColdJunction)]
    [InlineData(WordFormat.ThousandTwentyFourths24Of32, 0x0003D480L, QualityReason.NoReading)]
    public void Fault_bits_leave_no_number(WordFormat format, long word, QualityReason reason) =>
        Assert.Equal(Converted.Bad(reason), PackedWord.Decode(word, format));

    [Theory]
    [InlineData(0x0903D480L, QualityReason.OverRange)]
    [InlineData(0x0503D480L, QualityReason.UnderRange)]
    [InlineData(0x1103D480L, QualityReason.ColdJunction)]
    [InlineData(0x0303D480L, QualityReason.OutOfRange)]
    public void Soft_faults_leave_a_doubtful_number(long word, QualityReason reason) =>
        Assert.Equal(new Converted(245.125, SignalQuality.Uncertain(reason)), PackedWord.Decode(word, WordFormat.ThousandTwentyFourths24Of32));

    [Theory]
    [InlineData(WordFormat.Sixteenths16, 65536)]
    [InlineData(WordFormat.Sixteenths16, -32769)]
    [InlineData(WordFormat.Sixteenths16, 0.5)]
    [InlineData(WordFormat.Sixteenths16, double.NaN)]
    [InlineData(WordFormat.Quarters14Of32, double.PositiveInfinity)]
    [InlineData(WordFormat.HundredTwentyEighths19Of24, 0x1000000)]
    public void What_is_no_word_of_that_width_is_garbled(WordFormat format, double raw) =>
        Assert.Equal(Converted.Bad(QualityReason.Garbled), PackedWord.Decode(raw, format));

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.NegativeInfinity)]
    public void Plain_number_must_be_one(double raw) =>
        Assert.Equal(Converted.Bad(QualityReason.NotANumber), PackedWord.Decode(raw, WordFormat.Number));

    [Fact]
    public void Word_read_as_signed_or_unsigned_is_the_same_word() =>
        Gen.Select(Gen.Enum<WordFormat>().Where(format => format != WordFormat.Number), Gen.UInt).Sample((format, random) =>
        {
            int bits = PackedWord.BitsOf(format);
            long word = random & ((1L << bits) - 1);
            long signed = word >= 1L << (bits - 1) ? word - (1L << bits) : word;
            Assert.Equal(PackedWord.Decode(word, format), PackedWord.Decode(signed, format));
        });

    [Fact]
    public void No_word_gives_a_number_without_quality_or_a_quality_without_number() =>
        Gen.Select(Gen.Enum<WordFormat>(), Gen.Double[-5e9, 5e9].Select(Math.Round)).Sample((format, raw) =>
        {
            Converted value = PackedWord.Decode(raw, format);
            Assert.Equal(value.Quality.HasValue, double.IsFinite(value.Value));
        });
}
