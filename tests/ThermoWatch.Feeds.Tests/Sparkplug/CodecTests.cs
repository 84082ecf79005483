using CsCheck;
using ThermoWatch.Feeds.Sparkplug;

namespace ThermoWatch.Feeds.Tests.Sparkplug;

/// <summary>Payload bytes against the examples of the field table, each of which protoc has decoded.</summary>
public sealed class CodecTests
{
    private static byte[] Example(string name) => Convert.FromHexString(
        File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference/protocol/sparkplug_payload_examples.csv")).Single(l => l.StartsWith(name + ",", StringComparison.Ordinal)).Split(',')[2]);

    [Fact]
    public void A_death_is_read_as_published()
    {
        SparkplugPayload death = SparkplugCodec.TryDecode(Example("ndeath_will_bdseq255"))!;
        SparkplugMetric metric = Assert.Single(death.Metrics);
        Assert.Equal(("bdSeq", (ulong?)255, (uint?)4), (metric.Name, metric.LongValue, metric.Datatype));
        Assert.Null(death.Seq);
    }

    [Theory]
    [InlineData("ndeath_will_bdseq0")]
    [InlineData("ndeath_will_bdseq255")]
    [InlineData("nbirth_minimal")]
    public void What_is_read_is_written_as_it_was(string name)
    {
        SparkplugPayload read = SparkplugCodec.TryDecode(Example(name))!;
        SparkplugPayload again = SparkplugCodec.TryDecode(SparkplugCodec.Encode(read))!;
        Assert.Equal(read.Seq, again.Seq);
        Assert.Equal(read.TimestampMs, again.TimestampMs);
        Assert.Equal(read.Metrics.Select(m => (m.Name, m.Alias, m.TimestampMs, m.Datatype, m.LongValue, m.BooleanValue)), again.Metrics.Select(m => (m.Name, m.Alias, m.TimestampMs, m.Datatype, m.LongValue, m.BooleanValue)));
        Assert.Equal(Example(name).Length, SparkplugCodec.Encode(read).Length);
    }

    [Fact]
    public void Zero_and_false_are_written_and_absence_is_kept()
    {
        byte[] bytes = SparkplugCodec.Encode(new SparkplugPayload { Seq = 0, Metrics = [new SparkplugMetric { BooleanValue = false }, new SparkplugMetric { LongValue = 0 }] });
        SparkplugPayload read = SparkplugCodec.TryDecode(bytes)!;
        Assert.Equal((ulong?)0, read.Seq);
        Assert.Equal((false, null), (read.Metrics[0].BooleanValue, read.Metrics[0].LongValue));
        Assert.Equal((null, (ulong?)0), (read.Metrics[1].BooleanValue, read.Metrics[1].LongValue));
    }

    [Fact]
    public void Any_bytes_are_a_payload_or_none_and_never_an_exception() =>
        Gen.Byte.Array[0, 200].Sample(bytes => { _ = SparkplugCodec.TryDecode(bytes); }, iter: 100_000);

    [Fact]
    public void Any_flipped_bit_and_any_prefix_of_a_payload_ends_well()
    {
        byte[] whole = Example("nbirth_minimal");
        for (int bit = 0; bit < whole.Length * 8; bit++)
        {
            byte[] bent = [.. whole];
            bent[bit / 8] ^= (byte)(1 << (bit % 8));
            _ = SparkplugCodec.TryDecode(bent);
        }

        Assert.All(Enumerable.Range(0, whole.Length), n => SparkplugCodec.TryDecode(whole.AsSpan(0, n)));
        Assert.Null(SparkplugCodec.TryDecode(whole.AsSpan(0, whole.Length - 1)));
    }
}
