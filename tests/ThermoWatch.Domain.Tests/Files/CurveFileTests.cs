using System.Text;
using CsCheck;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Files;

public class CurveFileTests
{
    private static readonly byte[] s_troublesome = [.. "\",\r\n;.-+e0[] \0\u00ff".Select(c => (byte)c)];

    private static CurveFileParse Parse(string text) => CurveFile.Parse(Encoding.UTF8.GetBytes(text));

    [Fact]
    public void Header_tells_names_units_roles_and_places()
    {
        CurveFile file = Parse("""
            time_s,tc1 [degC],"tc2, left [degF] product body",vap [K] vapour,p [Torr],room [hPa] barometer
            0,25,212,273.15,760,1013.25
            0.5,,"50",300,380,
            """).File!;

        Assert.Equal([0, 5_000_000], file.Ticks);
        Assert.False(file.IsUtc);
        Assert.Equal(["tc1", "tc2, left", "vap", "p", "room"], file.Columns.Select(c => c.Name));
        Assert.Equal(
            [ChannelRole.Product, ChannelRole.Product, ChannelRole.Vapour, ChannelRole.Pressure, ChannelRole.Barometer], file.Columns.Select(c => c.Role));
        Assert.Equal([Place.Joint, Place.Body], file.Columns.Take(2).Select(c => c.Place));
        Assert.Equal([25, double.NaN], file.Columns[0].Values);
        Assert.Equal([100, 10], file.Columns[1].Values.Select(v => Math.Round(v, 9)));
        Assert.Equal([0, 26.85], file.Columns[2].Values.Select(v => Math.Round(v, 9)));
        Assert.Equal([1013.25, 506.625], file.Columns[3].Values.Select(v => Math.Round(v, 9)));
    }

    [Fact]
    public void Times_with_an_offset_become_utc_ticks()
    {
        CurveFile file = Parse("time,a [degC]\r\n2026-03-02T07:00:00+01:00,1\r\n2026-03-02T06:00:00.12345678Z,2\r\n").File!;
        Assert.True(file.IsUtc);
        Assert.Equal(new DateTime(2026, 3, 2, 6, 0, 0, DateTimeKind.Utc).Ticks, file.Ticks[0]);
        Assert.Equal(1_234_568, file.Ticks[1] - file.Ticks[0]); // rounded to a tick
    }

    [Fact]
    public void Decimal_times_are_rounded_to_a_tick() => Assert.Equal([1_000_000, 3_000_000], Parse("time_s,a [degC]\n0.1,1\n0.29999999999,1\n").File!.Ticks);

    [Theory]
    [InlineData("", 1, 0, "empty")]
    [InlineData("time_s\n0\n", 1, 0, "no curve")]
    [InlineData("time_s,a [degC]\n", 2, 0, "no row")]
    [InlineData("t,a [degC]\n0,1\n", 1, 1, "time_s")]
    [InlineData("time_s;a [degC]\n0;1\n", 1, 1, "semicolons")]
    [InlineData("time_s,a\n0,1\n", 1, 2, "brackets")]
    [InlineData("time_s,a [°C]\n0,1\n", 1, 2, "degC")]
    [InlineData("time_s,a [mbar(g)]\n0,1\n", 1, 2, "absolute")]
    [InlineData("time_s,a [furlong]\n0,1\n", 1, 2, "Convert it first")]
    [InlineData("time_s,a [degC],a [degC]\n0,1,2\n", 1, 3, "twice")]
    [InlineData("time_s,a [mbar],b [mbar]\n0,1,2\n", 1, 3, "second chamber pressure")]
    [InlineData("time_s,a [degC] nose\n0,1\n", 1, 2, "not a role")]
    [InlineData("time_s,a [degC] product nose\n0,1\n", 1, 2, "not a place")]
    [InlineData("time_s,a [degC] vapour body\n0,1\n", 1, 2, "not a place")]
    [InlineData("time_s,a [degC]\n0,1\n1,x\n", 3, 2, "not a number")]
    [InlineData("time_s,a [degC]\n0,1\n1,NaN\n", 3, 2, "not a number")]
    [InlineData("time_s,a [degC]\n0,1\n1,Infinity\n", 3, 2, "not a number")]
    [InlineData("time_s,a [degC]\n0,1\n1,1e999\n", 3, 2, "not a number")]
    [InlineData("time_s,a [degC]\n0,1\n0,5,25\n", 3, 3, "Decimal commas")]
    [InlineData("time_s,a [degC]\n0,1\n1,\"25,5\"\n", 3, 2, "Decimal comma")]
    [InlineData("time_s,a [degC]\n0,1\n1;25\n", 3, 1, "semicolons")]
    [InlineData("time_s,a [degC],b [degC]\n0,1,2\n1,2\n", 3, 2, "cut")]
    [InlineData("time_s,a [degC]\n1,1\n0.5,2\n", 3, 1, "lies before")]
    [InlineData("time_s,a [degC]\n,1\n", 2, 1, "needs its time")]
    [InlineData("time_s,a [degC]\n0,\"1\n", 2, 2, "quote")]
    [InlineData("time_s,a [degC]\n0,\"1\"2\n", 2, 2, "quote")]
    [InlineData("time,a [degC]\n2026-03-02T06:00:00,1\n", 2, 1, "RFC 3339")]
    [InlineData("time_s,a [degC]\n0,25\n1,-9999\n", 3, 2, "mark for a missing reading")]
    [InlineData("time_s,a [K]\n0,-1\n", 2, 2, "no temperature")]
    [InlineData("time_s,p [mbar]\n0,1e9\n", 2, 2, "no pressure")]
    [InlineData("time_s,a [degC]\n0,25\n1e8,26\n", 3, 1, "Milliseconds")]
    [InlineData("t\0i\0m\0e\0", 1, 0, "zero bytes")]
    [InlineData("time_s,p [mbar],q [Pa]\n0,1,1\n", 1, 3, "second chamber pressure")]
    [InlineData("time_s,\"a\nb\" [degC]\n0,1\n", 2, 2, "quote")]
    [InlineData("time_s,\"a\nb\"\n0,1\n", 2, 2, "no unit")]
    public void Fault_says_where_what_and_why(string text, int line, int column, string words)
    {
        CurveFault fault = Parse(text).Fault!;
        Assert.Equal((line, column), (fault.Line, fault.Column));
        Assert.Contains(words, fault.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain('\n', fault.ToString());
    }

    [Fact]
    public void Other_encodings_are_named()
    {
        Assert.Contains("UTF-16", CurveFile.Parse(Encoding.Unicode.GetPreamble()).Fault!.Problem, StringComparison.Ordinal);
        Assert.Contains("UTF-8", CurveFile.Parse(Encoding.Latin1.GetBytes("time_s,a°b [degC]\n0,1\n")).Fault!.Problem, StringComparison.Ordinal);
        Assert.NotNull(CurveFile.Parse([0xEF, 0xBB, 0xBF, .. "time_s,a [degC]\n0,1\n"u8]).File);
    }

    [Fact]
    public void Any_bytes_are_curves_or_a_fault()
    {
        const string Whole = "time_s,tc1 [degC],\"tc2, left [degF] product body\",p [Torr]\r\n0,25,212,760\r\n0.5,,\"50\",380\r\n1,26,\"7\"\"\",\r\n";
        byte[] whole = Encoding.UTF8.GetBytes(Whole);
        Gen.Select(Gen.Int[0, whole.Length - 1], Gen.Int[0, s_troublesome.Length - 1].Select(i => s_troublesome[i]), Gen.Int[0, whole.Length])
            .Sample((at, value, length) =>
            {
                byte[] changed = [.. whole];
                changed[at] = value;
                CurveFileParse parse = CurveFile.Parse(changed.AsSpan(0, length));
                bool consistent = parse.File is null || parse.File.Columns.All(c => c.Values.Count == parse.File.Ticks.Count && !c.Values.Any(double.IsInfinity));
                return parse.File is null != parse.Fault is null && consistent;
            }, iter: 5000, threads: 1);
        Gen.Byte.Array[0, 200].Sample(bytes => CurveFile.Parse(bytes) is { } parse && parse.File is null != parse.Fault is null, iter: 2000, threads: 1);
    }
}
