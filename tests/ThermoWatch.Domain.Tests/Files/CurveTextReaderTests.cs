using System.Collections.Immutable;
using System.Text;
using CsCheck;
using ThermoWatch.Domain.Files;

namespace ThermoWatch.Domain.Tests.Files;

/// <summary>Curve files as they come from a disk, in blocks that end anywhere.</summary>
public class CurveTextReaderTests
{
    private const string Whole = "\uFEFFtime_s,tc1 [degC],\"tc2,\nleft [degF] product body\",p [Torr]\r\n0,25,212,760\r\n\r\n0.5,,\"50\",380\n1,26,7,\r\n1,\"27\",8.25,1\r2,28,9,1";

    private static readonly byte[] s_whole = Encoding.UTF8.GetBytes(Whole);
    private static readonly byte[] s_troublesome = [.. ",;\"\r\n0.-e \0\t["u8, 0xFF, 0xC3];

    private sealed class Rows : ICurveRows
    {
        public List<string> Said { get; } = [];

        public void Begin(bool isUtc, ImmutableArray<CurveHead> heads) => Said.Add($"{isUtc} {string.Join(' ', heads)}");

        public void Row(long ticks, ReadOnlySpan<double> values) => Said.Add($"{ticks} {string.Join(' ', values.ToArray())}");
    }

    /// <summary>What is read of a text that comes in pieces of these lengths, over and over.</summary>
    private static (string Rows, string? Fault) InPieces(ReadOnlySpan<byte> text, int[] lengths)
    {
        var rows = new Rows();
        var reader = new CurveTextReader(rows);
        for (int at = 0, i = 0; at < text.Length && reader.Fault is null; i++)
        {
            int length = Math.Min(lengths[i % lengths.Length], text.Length - at);
            reader.Push(text.Slice(at, length));
            at += length;
        }

        reader.End();
        return (string.Join('\n', rows.Said), reader.Fault?.ToString());
    }

    [Fact]
    public void Pieces_of_any_length_give_the_same_rows()
    {
        (string expected, string? fault) = InPieces(s_whole, [s_whole.Length]);
        Assert.Null(fault);
        Assert.Equal(7, expected.Split('\n').Length);
        Gen.Int[1, 40].Array[1, 5].Sample(lengths => InPieces(s_whole, lengths) == (expected, null), iter: 500, threads: 1);
    }

    [Fact]
    public void Pieces_of_any_length_give_the_same_fault()
    {
        int faulty = 0;
        Gen.Select(Gen.Int[0, s_whole.Length - 1], Gen.Int[0, s_troublesome.Length - 1].Select(i => s_troublesome[i]), Gen.Int[1, s_whole.Length], Gen.Int[1, 30].Array[1, 4]).Sample((at, value, length, pieces) =>
        {
            byte[] changed = [.. s_whole];
            changed[at] = value;
            CurveFileParse whole = CurveFile.Parse(changed.AsSpan(0, length));
            (string _, string? fault) = InPieces(changed.AsSpan(0, length), pieces);
            faulty += fault is null ? 0 : 1;
            return fault == whole.Fault?.ToString();
        }, iter: 5000, threads: 1);
        Assert.True(faulty > 500, $"only {faulty} had a fault");
    }

    [Fact]
    public void Quote_that_is_not_closed_is_seen_on_its_line_and_not_at_the_end_of_the_file()
    {
        var text = new StringBuilder("time_s,a [degC]\n0,25\n1,\"26\n");
        for (int i = 2; i < 5000; i++)
        {
            text.Append(i).Append(",27\n");
        }

        (string rows, string? fault) = InPieces(Encoding.UTF8.GetBytes(text.ToString()), [1000]);
        Assert.Equal(2, rows.Split('\n').Length);
        Assert.StartsWith("line 3, column 2: A quote is not closed", fault, StringComparison.Ordinal);
    }

    [Fact]
    public void What_has_no_lines_is_given_up_before_it_fills_the_memory()
    {
        var reader = new CurveTextReader(new Rows());
        byte[] block = new byte[1 << 20];
        Array.Fill(block, (byte)'x');
        int pushed = 0;
        while (reader.Push(block))
        {
            Assert.True(++pushed < 20, "it goes on for ever");
        }

        Assert.Contains("The line does not end", reader.Fault!.ToString(), StringComparison.Ordinal);
    }

    // The interval is the median, and neither many kinds of steps nor repeated times move it.
    [Fact]
    public void Interval_of_a_channel_is_the_median_of_its_steps()
    {
        var random = new Random(4);
        long[] steps = [.. Enumerable.Range(0, 200_000).Select(_ => random.NextInt64(900_000, 1_100_000))];
        long[] ticks = new long[steps.Length + 1];
        for (int i = 0; i < steps.Length; i++)
        {
            ticks[i + 1] = ticks[i] + steps[i];
        }

        var survey = new CurveSurvey();
        survey.Begin(false, [new CurveHead("a", Domain.Signals.ChannelRole.Product, Domain.Signals.Place.Joint, Domain.Signals.MeasuredUnit.DegreeCelsius)]);
        foreach (long tick in ticks)
        {
            survey.Row(tick, [25]);
            survey.Row(tick, [26]);
        }

        Array.Sort(steps);
        Assert.Equal(steps[steps.Length / 2], survey.IntervalOf(0).Ticks, 10.0);
        Assert.Equal(400_002, survey.ReadingsOf(0));
    }

    [Fact]
    public void Day_is_told_by_the_barometer_else_by_the_chamber_while_it_stood_open()
    {
        double? Day(string text) => CurveFile.Parse(Encoding.UTF8.GetBytes(text)).File!.Survey.DayHectopascal;
        Assert.Equal(985.5, Day("time_s,p [mbar],b [mbar] barometer\n0,1010,985.5\n1,5,985.5\n"));
        Assert.Equal(1010, Day("time_s,p [mbar]\n0,1010\n1,1011\n2,1010\n3,700\n4,5\n5,5\n6,5\n"));
        Assert.Null(Day("time_s,p [mbar]\n0,5\n1,4\n"));
    }
}
