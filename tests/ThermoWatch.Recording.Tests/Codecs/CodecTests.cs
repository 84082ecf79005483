using System.Text;
using CsCheck;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Tests.Codecs;

public class CodecTests
{
    // RFC 3720 (iSCSI), appendix B.4: CRC-32C of 32 bytes of zeros, of ones, rising and falling; and the check value of
    // the CRC catalogues for "123456789".
    [Fact]
    public void Checksum_agrees_with_the_published_examples()
    {
        Assert.Equal(0x8A9136AAu, Crc32C.Of(new byte[32]));
        Assert.Equal(0x62A8AB43u, Crc32C.Of(Enumerable.Repeat((byte)0xFF, 32).ToArray()));
        Assert.Equal(0x46DD794Eu, Crc32C.Of(Enumerable.Range(0, 32).Select(i => (byte)i).ToArray()));
        Assert.Equal(0x113FDB5Cu, Crc32C.Of(Enumerable.Range(0, 32).Select(i => (byte)(31 - i)).ToArray()));
        Assert.Equal(0xE3069283u, Crc32C.Of(Encoding.ASCII.GetBytes("123456789")));
    }

    [Fact]
    public void Checksum_with_a_number_is_that_of_its_eight_bytes_and_the_rest() => Gen.Select(Gen.ULong, Gen.Byte.Array).Sample((number, bytes) =>
        Assert.Equal(Crc32C.Of([.. BitConverter.GetBytes(number), .. bytes]), Crc32C.Of(number, bytes)));

    [Fact]
    public void Varints_come_back() => Gen.Select(Gen.ULong, Gen.Long).Sample((unsigned, signed) =>
    {
        var sink = new ByteSink(1);
        sink.VarUInt(unsigned);
        sink.VarInt(signed);
        var source = new ByteSource(sink.Written);
        Assert.Equal(unsigned, source.VarUInt());
        Assert.Equal(signed, source.VarInt());
        Assert.False(source.Failed);
        Assert.Equal(0, source.Left);
    });

    [Theory]
    [InlineData(new byte[] { 0x80 })]
    [InlineData(new byte[] { 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0x02 })]
    [InlineData(new byte[] { 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 0x00 })]
    public void Varint_that_is_cut_or_too_large_fails(byte[] bytes)
    {
        var source = new ByteSource(bytes);
        source.VarUInt();
        Assert.True(source.Failed);
    }

    [Fact]
    public void Bits_come_back_in_every_width() => Gen.Select(Gen.Int[0, 32], Gen.ULong).Array[0, 70].Sample(raw =>
    {
        (int Width, ulong Bits)[] fields = [.. raw.Select(field => (field.Item1, field.Item1 == 0 ? 0 : field.Item2 >> (64 - field.Item1)))];
        var room = new byte[fields.Length * 4 + 16];
        var writer = new BitWriter(room);
        foreach ((int width, ulong bits) in fields)
        {
            writer.Put(bits, width);
        }

        var reader = new BitReader(room.AsSpan(0, writer.Finish()));
        foreach ((int width, ulong bits) in fields)
        {
            reader.Fill();
            Assert.Equal(bits, reader.Take(width));
        }

        Assert.False(reader.Overrun);
        reader.Fill();
        reader.Take(8);
        Assert.True(reader.Overrun);
    });

    [Fact]
    public void Every_double_comes_back_bit_for_bit_whatever_form_was_used_before() => Gen.Select(Numbers.Adversarial, Gen.Byte[0, 12]).Sample((value, before) =>
    {
        var form = (NumberForm)before;
        long integer = NumberForms.ToInteger(value, ref form);
        Assert.Equal(BitConverter.DoubleToInt64Bits(value), BitConverter.DoubleToInt64Bits(NumberForms.ToNumber(integer, form)));
    });

    [Theory]
    [InlineData(25.0, (byte)NumberForm.Integer, 25)]
    [InlineData(-0.5, (byte)NumberForm.Decimal1, -5)]
    [InlineData(231.47, (byte)4, 23147)]
    [InlineData((double)231.47f, (byte)10, 23147)]
    [InlineData(0.015625f, (byte)NumberForm.Decimal6, 15625)]
    public void An_instruments_digits_are_found(double value, byte form, long integer)
    {
        var found = NumberForm.Integer;
        Assert.Equal(integer, NumberForms.ToInteger(value, ref found));
        Assert.Equal((NumberForm)form, found);
    }

    [Fact]
    public void Negative_zero_and_not_a_number_are_no_digits()
    {
        foreach (NumberForm form in Enum.GetValues<NumberForm>().Where(form => form >= NumberForm.Integer))
        {
            Assert.False(NumberForms.TryAs(-0.0, form, out _));
            Assert.False(NumberForms.TryAs(double.NaN, form, out _));
            Assert.False(NumberForms.TryAs(double.PositiveInfinity, form, out _));
        }
    }

    [Fact]
    public void Every_quality_comes_back()
    {
        SignalQuality[] all = [.. from level in Enum.GetValues<Quality>() from reason in Enum.GetValues<QualityReason>() select new SignalQuality(level, reason)];
        Assert.All(all, quality => Assert.Equal(quality, QualityCode.From(QualityCode.Of(quality))));
        Assert.Equal(all.Length, all.Select(QualityCode.Of).Distinct().Count());
    }
}
