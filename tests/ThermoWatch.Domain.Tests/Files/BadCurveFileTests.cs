using System.Text;
using ThermoWatch.Domain.Files;

namespace ThermoWatch.Domain.Tests.Files;

/// <summary>What a person is told of a curve file that cannot be read: word for word, as these words are all that they have.</summary>
public class BadCurveFileTests
{
    private const string Header = "time_s,tc1 [degC],p [mbar]\n0,25,1013\n";

    public static TheoryData<string, string, string> Faults => new()
    {
        { "a wrong cell", Header + "1,x,1013\n", "line 3, column 2: \"x\" is not a number. Leave the field empty where nothing was measured; write numbers with a decimal point." },
        { "a value that cannot be", Header + "1,-9999,1013\n", "line 3, column 2: -9999 degC is no temperature that can be. A mark for a missing reading (leave the field empty), another unit, or a decimal point that was lost." },
        { "not a number", Header + "1,25,NaN\n", "line 3, column 3: \"NaN\" is not a number. Leave the field empty where nothing was measured; write numbers with a decimal point." },
        { "infinite", Header + "1,-Infinity,1013\n", "line 3, column 2: \"-Infinity\" is not a number. Leave the field empty where nothing was measured; write numbers with a decimal point." },
        { "beyond a double", Header + "1,25,1e999\n", "line 3, column 3: \"1e999\" is not a number. Leave the field empty where nothing was measured; write numbers with a decimal point." },
        { "a decimal comma in quotes", Header + "1,\"25,5\",1013\n", "line 3, column 2: \"25,5\" is not a number. Decimal comma: write a decimal point." },
        { "decimal commas", Header + "1,25,5,1013\n", "line 3, column 4: The row has more fields than the header (3). Decimal commas instead of points, or a comma at the end of the line." },
        { "decimal commas between semicolons", "time_s;tc1 [degC]\n0;25,5\n", "line 1, column 1: The first column is \"time_s;tc1 [degC]\". Fields are separated by semicolons: separate them by commas, with decimal points." },
        { "a cut line", Header + "1,25\n", "line 3, column 2: The row has 2 fields, the header 3. The line was cut, or its fields are separated otherwise." },
        { "a header without a time", "seconds,tc1 [degC]\n0,25\n", "line 1, column 1: The first column is \"seconds\". Name it \"time_s\" (seconds) or \"time\" (RFC 3339)." },
        { "a header without a unit", "time_s,tc1\n0,25\n", "line 1, column 2: \"tc1\" has no unit. Write the unit in brackets after the name, such as \"tc1 [degC]\"." },
        { "no header", "0,25\n1,26\n", "line 1, column 1: The first column is \"0\". Name it \"time_s\" (seconds) or \"time\" (RFC 3339)." },
        { "a wrong unit", "time_s,tc1 [°C]\n0,25\n", "line 1, column 2: \"°C\" is not a unit of curve files. Write degC." },
        { "a gauge pressure", "time_s,p [mbar(g)]\n0,-5\n", "line 1, column 2: \"mbar(g)\" is not a unit of curve files. A gauge pressure depends on the weather: convert it to absolute mbar with the barometer first." },
        { "one name twice", "time_s,tc1 [degC],tc1 [degC]\n0,25,25\n", "line 1, column 3: The name \"tc1\" stands twice. Give each curve a name of its own." },
        { "two pressures without roles", "time_s,a [mbar],b [mbar]\n0,1013,1013\n", "line 1, column 3: There is a second chamber pressure. Give one of them another role, such as \"barometer\" or \"auxiliary\"." },
        { "rows out of order", Header + "2,25,1013\n1,25,1013\n", "line 4, column 1: The time 1 lies before that of the row above. Rows out of order, two recordings in one file, or a clock that was set back." },
        { "milliseconds", Header + "40000000,25,1013\n", "line 3, column 1: The time 40000000 lies more than a year after the first. Milliseconds in a column of seconds, or two recordings in one file." },
        { "a local time", "time,tc1 [degC]\n2026-03-02 06:00:00,25\n", "line 2, column 1: \"2026-03-02 06:00:00\" is not an RFC 3339 time. Write it as 2026-03-02T06:00:00.5Z, with Z or an offset." },
        { "nothing at all", "", "line 1: The file is empty. Expected a header such as \"time_s,tc1 [degC]\"." },
        { "no row", "time_s,tc1 [degC]\n", "line 2: There is no row after the header. The recording is empty, or was cut." },
        { "no curve", "time_s\n0\n", "line 1: There is no curve beside the time. Add a column such as \"tc1 [degC]\"." },
    };

    [Theory]
    [MemberData(nameof(Faults))]
    public void Fault_is_told_with_its_place_what_was_expected_and_the_likely_cause(string what, string text, string told)
    {
        Assert.NotEmpty(what);
        CurveFileParse parse = CurveFile.Parse(Encoding.UTF8.GetBytes(text));
        Assert.Null(parse.File);
        Assert.Equal(told, parse.Fault!.ToString());
    }

    public static TheoryData<byte[], string> Encodings => new()
    {
        { Encoding.Unicode.GetPreamble().Concat(Encoding.Unicode.GetBytes(Header)).ToArray(), "line 1: The file is UTF-16. Save it as UTF-8." },
        { Encoding.BigEndianUnicode.GetPreamble().Concat(Encoding.BigEndianUnicode.GetBytes(Header)).ToArray(), "line 1: The file is UTF-16. Save it as UTF-8." },
        { Encoding.Unicode.GetBytes(Header), "line 1: The file is not text: it holds zero bytes. UTF-16, or a spreadsheet's own format: save it as CSV in UTF-8." },
        { Encoding.Latin1.GetBytes("time_s,fühler [degC]\n0,25\n"), "line 1, column 2: The header is not valid UTF-8. The file has another encoding: save it as UTF-8." },
    };

    [Theory]
    [MemberData(nameof(Encodings))]
    public void Other_encodings_are_told_by_name(byte[] text, string told) => Assert.Equal(told, CurveFile.Parse(text).Fault!.ToString());

    [Fact]
    public void One_row_is_a_curve() => Assert.Equal([250_000_0L], CurveFile.Parse("time_s,tc1 [degC]\n0.25,25\n"u8).File!.Ticks);

    [Fact]
    public void Ten_million_rows_are_read_to_the_last_and_a_fault_in_it_is_told_by_its_line()
    {
        const int Rows = 10_000_000, InBlock = 1000;
        var counted = new CurveSurvey();
        var reader = new CurveTextReader(counted);
        reader.Push("time_s,tc1 [degC]\n"u8);
        byte[] block = new byte[32 * InBlock];
        for (int row = 0; row < Rows; row += InBlock)
        {
            int length = 0;
            for (int i = row; i < row + InBlock; i++)
            {
                // A tenth of a second from row to row.
                Utf8(i / 10).CopyTo(block, length);
                length += Utf8(i / 10).Length;
                ReadOnlySpan<byte> rest = [(byte)'.', (byte)('0' + (i % 10)), (byte)',', (byte)'2', (byte)'5', (byte)'\n'];
                rest.CopyTo(block.AsSpan(length));
                length += rest.Length;
            }

            Assert.True(reader.Push(block.AsSpan(0, length)), reader.Fault?.ToString());
        }

        Assert.False(reader.Push("1000000,25,5\n"u8));
        Assert.Equal((Rows, Rows), (counted.Rows, counted.ReadingsOf(0)));
        Assert.Equal("line 10000002, column 3: The row has more fields than the header (2). Decimal commas instead of points, or a comma at the end of the line.", reader.Fault!.ToString());

        byte[] Utf8(int second)
        {
            if (second != _second)
            {
                (_second, _digits) = (second, Encoding.UTF8.GetBytes(second.ToString(System.Globalization.CultureInfo.InvariantCulture)));
            }

            return _digits;
        }
    }

    private int _second = -1;
    private byte[] _digits = [];
}
