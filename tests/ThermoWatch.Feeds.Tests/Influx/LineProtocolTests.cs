using System.Globalization;
using System.Text;
using System.Text.Json;
using CsCheck;
using ThermoWatch.Feeds.Influx;

namespace ThermoWatch.Feeds.Tests.Influx;

/// <summary>Lines against the published grammar and the corpus of influxdata/line-protocol; sources stand in the file.</summary>
public sealed class LineProtocolTests
{
    public static TheoryData<string, string, string> Cases()
    {
        TheoryData<string, string, string> cases = [];
        foreach (string line in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference/protocol/line_protocol.csv")).Skip(1))
        {
            string[] cells = [.. Csv(line)];
            cases.Add(cells[0], cells[1], cells[2]);
        }

        return cases;
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void A_line_is_spelt_as_published(string name, string input, string expected)
    {
        Assert.NotEmpty(name);
        var lines = new LineBuffer();
        string? problem;
        try
        {
            problem = lines.TryAdd(Read(input));
        }
        catch (OverflowException)
        {
            problem = "The number does not fit its type."; // refused by the type that a caller must have
        }

        Assert.Equal(expected == "REJECT", problem is not null);
        Assert.Equal(expected == "REJECT" ? 0 : 1, lines.Lines);
        if (problem is null)
        {
            Assert.Equal(expected, lines.Line(0));
        }
    }

    [Fact]
    public void The_reference_has_its_cases() => Assert.True(Cases().Count >= 38, $"{Cases().Count} cases");

    [Fact]
    public void Any_names_and_texts_come_back_out_of_a_line() =>
        Gen.Select(Name, Gen.Dictionary(Name, Name)[0, 4], Gen.Dictionary(Name, Text)[1, 4], Gen.Long[-9223372036854775806, 9223372036854775806]).Sample((measurement, tags, fields, time) =>
        {
            var lines = new LineBuffer();
            string? problem = lines.TryAdd(new LinePoint(measurement, [.. tags], [.. fields.Select(f => KeyValuePair.Create(f.Key, LineValue.Text(f.Value)))], time));
            Assert.Null(problem);
            (string m, Dictionary<string, string> t, Dictionary<string, string> f, long at) = LineParser.Parse(lines.Line(0));
            Assert.Equal(measurement, m);
            Assert.Equal(tags.OrderBy(x => x.Key), t.OrderBy(x => x.Key));
            Assert.Equal(fields.OrderBy(x => x.Key), f.OrderBy(x => x.Key));
            Assert.Equal(time, at);
        }, iter: 2000);

    [Fact]
    public void Any_finite_number_comes_back_to_the_bit() => Gen.Double.Where(double.IsFinite).Sample(value =>
    {
        var lines = new LineBuffer();
        lines.Number(value);
        string text = Encoding.UTF8.GetString(lines.Bytes.Span);
        Assert.DoesNotContain('E', text);
        Assert.Equal(BitConverter.DoubleToInt64Bits(value), BitConverter.DoubleToInt64Bits(double.Parse(text, CultureInfo.InvariantCulture)));
    }, iter: 20000);

    [Theory]
    [InlineData(LinePrecision.Nanoseconds, 1735689600123456700)]
    [InlineData(LinePrecision.Microseconds, 1735689600123456)]
    [InlineData(LinePrecision.Milliseconds, 1735689600123)]
    public void Times_are_cut_towards_the_past(LinePrecision precision, long expected)
    {
        var time = Domain.Signals.Timestamp.From(DateTimeOffset.Parse("2025-01-01T00:00:00.1234567Z", CultureInfo.InvariantCulture));
        Assert.Equal(expected, LineTime.Of(time, precision));
        Assert.Equal(-1, LineTime.Of(new Domain.Signals.Timestamp(DateTimeOffset.UnixEpoch.UtcTicks - 1), LinePrecision.Milliseconds));
    }

    [Fact]
    public void Names_that_came_from_people_are_mended() =>
        Gen.String.Sample(name => Assert.Null(LineText.NameProblem(LineText.Mended(name))), iter: 5000);

    private static readonly Gen<string> Name = Gen.Char["abz_ ,=\\\"°ö0"].Array[1, 8].Select(c => new string(c)).Where(s => s[^1] != '\\' && !s.Contains("\\\\") && !s.Contains("\\ ") && !s.Contains("\\,") && !s.Contains("\\="));

    private static readonly Gen<string> Text = Gen.Char["ab ,=\\\"°"].Array[0, 8].Select(c => new string(c));

    private static LinePoint Read(string json)
    {
        using var document = JsonDocument.Parse(json);
        JsonElement root = document.RootElement;
        return new LinePoint(
            root.GetProperty("name").GetString()!,
            [.. root.GetProperty("tags").EnumerateArray().Select(t => KeyValuePair.Create(t.GetProperty("key").GetString()!, t.GetProperty("value").GetString()!))],
            [.. root.GetProperty("fields").EnumerateArray().Select(f => KeyValuePair.Create(f.GetProperty("key").GetString()!, Value(f.GetProperty("value"))))],
            root.GetProperty("time").GetInt64());
    }

    private static LineValue Value(JsonElement value)
    {
        JsonProperty kind = value.EnumerateObject().Single();
        return kind.Name switch
        {
            "float" => LineValue.Float(kind.Value.ValueKind == JsonValueKind.String ? double.NaN : kind.Value.GetDouble()),
            "int" => LineValue.Integer(kind.Value.TryGetInt64(out long number) ? number : throw new OverflowException()),
            "uint" => LineValue.Unsigned(kind.Value.GetUInt64()),
            "bool" => LineValue.Boolean(kind.Value.GetBoolean()),
            _ => LineValue.Text(kind.Value.GetString()!),
        };
    }

    private static IEnumerable<string> Csv(string line)
    {
        StringBuilder cell = new();
        bool quoted = false;
        for (int i = 0; i < line.Length; i++)
        {
            char c = line[i];
            if (c == '"' && quoted && i + 1 < line.Length && line[i + 1] == '"')
            {
                cell.Append('"');
                i++;
            }
            else if (c == '"')
            {
                quoted = !quoted;
            }
            else if (c == ',' && !quoted)
            {
                yield return cell.ToString();
                cell.Clear();
            }
            else
            {
                cell.Append(c);
            }
        }

        yield return cell.ToString();
    }
}
