using CsCheck;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Tests.Codecs;

public class ColumnCodecTests
{
    private static readonly Gen<long[]> Columns = Gen.OneOf(
        Gen.Long.Array[0, 200],
        Gen.Select(Gen.Int[0, 300], Gen.Long).Select((count, value) => Enumerable.Repeat(value, count).ToArray()),
        Gen.Select(Gen.Int[0, 300], Gen.Long[-5000, 5000]).Select((count, slope) => Enumerable.Range(0, count).Select(i => i * slope).ToArray()),
        Gen.Select(Gen.Int[0, 300], Gen.Long[0, 1L << 62]).Select((count, size) => Enumerable.Range(0, count).Select(i => i % 2 == 0 ? size : -size).ToArray()),
        Gen.Int[-40, 40].Array[0, 300].Select(noise => noise.Select((n, i) => 20_000L + i * 3 + n).ToArray()),
        Gen.Select(Gen.Int[-40, 40].Array[1, 300], Gen.Int[0, 299], Gen.Long).Select((noise, at, spike) =>
            noise.Select((n, i) => i == at ? spike : n).ToArray()));

    [Fact]
    public void Every_column_comes_back() => Columns.Sample(values =>
    {
        var sink = new ByteSink();
        new ColumnCodec().Write(sink, values);
        var source = new ByteSource(sink.Written);
        var back = new long[values.Length];
        ColumnCodec.Read(ref source, back);
        Assert.Equal(values, back);
        Assert.Equal((false, 0), (source.Failed, source.Left));
        Assert.True(sink.Length <= values.Length * 8 + 11);
    }, iter: 3000);

    [Fact]
    public void One_codec_writes_many_columns_alike() => Columns.Array[2, 5].Sample(columns =>
    {
        var codec = new ColumnCodec();
        ByteSink shared = new(), alone = new();
        foreach (long[] column in columns)
        {
            codec.Write(shared, column);
            new ColumnCodec().Write(alone, column);
        }

        Assert.True(shared.Written.SequenceEqual(alone.Written));
    });

    [Fact]
    public void Every_prefix_fails_and_nothing_throws() => Columns.Sample(values =>
    {
        var sink = new ByteSink();
        new ColumnCodec().Write(sink, values);
        for (int length = 0; length < sink.Length; length += 1 + sink.Length / 40)
        {
            var source = new ByteSource(sink.Written[..length]);
            ColumnCodec.Read(ref source, new long[values.Length]);
            Assert.True(source.Failed);
        }
    }, iter: 300);

    // 16-point least-squares line one step on: weights 1/n + (k - mean)(n - mean) / Sxx, worked out here once more.
    [Fact]
    public void Straight_line_costs_next_to_nothing()
    {
        double sxx = Enumerable.Range(0, 16).Sum(k => (k - 7.5) * (k - 7.5));
        double[] weights = [.. Enumerable.Range(0, 16).Select(k => 1 / 16.0 + (k - 7.5) * (16 - 7.5) / sxx)];
        Assert.All(Enumerable.Range(0, 16), k => Assert.Equal((k - 5) / 40.0, weights[k], 12));

        long[] ramp = [.. Enumerable.Range(0, 4096).Select(i => i * 1234L)];
        var sink = new ByteSink();
        new ColumnCodec().Write(sink, ramp);
        Assert.InRange(sink.Length, 1, 4096 / 8 + 200); // a bit a value, and the sixteen values of the start
    }

    [Fact]
    public void Number_column_gives_back_every_bit() => Gen.OneOf(
        Numbers.Adversarial.Array[0, 200],
        Gen.Select(Gen.Int[-3000, 3000].Array[1, 200], Gen.Int[0, 199], Gen.Int[0, 50]).Select((counts, from, length) =>
            counts.Select((count, i) => i >= from && i < from + length ? double.NaN : count / 10.0).ToArray())).Sample(values =>
    {
        var sink = new ByteSink();
        new NumberColumn().Write(sink, values);
        var source = new ByteSource(sink.Written);
        var back = new double[values.Length];
        NumberColumn.Read(ref source, back, new long[values.Length]);
        Assert.Equal(values.Select(BitConverter.DoubleToInt64Bits), back.Select(BitConverter.DoubleToInt64Bits));
        Assert.Equal((false, 0), (source.Failed, source.Left));
    }, iter: 3000);

    [Fact]
    public void Sensor_that_opens_now_and_then_does_not_cost_the_column()
    {
        double[] values = [.. Enumerable.Range(0, 3600).Select(i => i % 900 is > 500 and < 520 ? double.NaN : (20_000 + i * 7 % 13) / 100.0)];
        var sink = new ByteSink();
        new NumberColumn().Write(sink, values);
        Assert.InRange(sink.Length, 100, 3600);
    }
}
