using System.Globalization;
using System.Text;
using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Fuzz;

/// <summary>
/// Curve and spec files that nobody meant to write, grown from a committed corpus. Nothing may throw or hang; what is refused says where
/// and in one line; what is accepted is counted anew here, and judged. Longer runs: THERMOWATCH_FUZZ=1000000.
/// </summary>
public sealed class FileFuzzTests
{
    private static readonly int s_rounds =
        int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_FUZZ"), CultureInfo.InvariantCulture, out int rounds) ? rounds : 4_000;

    private static readonly byte[][] s_curves = Corpus("*.csv");
    private static readonly byte[][] s_specs = Corpus("*.spec.json");
    private static readonly byte[][] s_words =
    [
        .. new[]
        {
            ",", "\"", "\n", "\r", "\r\n", ";", "\t", "NaN", "1e999", "-0", "1e-320", "0,5", "[degC]", "[bar]", " vapour", "time_s", "{", "}", "[", "]", ":",
            "null", "true", "\"limits\"", "\"tc1\"", "9999999999", "-1", "1e308", "\\u0000", "\\ud800", "2026-12-31T23:59:60Z", "0", "\u00b0",
        }.Select(Encoding.UTF8.GetBytes), [0], [0xFF, 0xFE], [0xC3, 0x28],
    ];

    [Fact]
    public void Curve_files_are_read_right_or_refused_with_their_place()
    {
        var random = new Random(5);
        (int read, int refused) = (0, 0);
        for (int round = 0; round < s_rounds; round++)
        {
            byte[] text = Mutate(s_curves, random);
            CurveFileParse parse = CurveFile.Parse(text);
            if (parse.Fault is { } fault)
            {
                refused++;
                Assert.Null(parse.File);
                Assert.InRange(fault.Line, 1, 1 + text.Count(b => b is (byte)'\n' or (byte)'\r'));
                Assert.True(fault is { Column: >= 0, Problem.Length: > 0, LikelyCause.Length: > 0 });
                Assert.DoesNotContain(fault.ToString(), c => char.IsControl(c));
                continue;
            }

            read++;
            CheckAgainstPlainReading(Encoding.UTF8.GetString(text), parse.File!);
        }

        Assert.True(read > s_rounds / 20 && refused > s_rounds / 20, $"{read} read, {refused} refused");
    }

    [Fact]
    public void Spec_files_are_read_or_refused_with_every_fault_named()
    {
        var random = new Random(6);
        (int read, int refused) = (0, 0);
        for (int round = 0; round < s_rounds; round++)
        {
            SpecParse parse = SpecFile.Parse(Mutate(s_specs, random));
            Assert.Equal(parse.Spec is null, !parse.Faults.IsEmpty);
            Assert.All(parse.Faults, f => Assert.True(f.Path.StartsWith('$') && f.Problem.Length > 0 && f.Remedy.Length > 0));
            (read, refused) = parse.Spec is null ? (read, refused + 1) : (read + 1, refused);
        }

        Assert.True(read > s_rounds / 20 && refused > s_rounds / 20, $"{read} read, {refused} refused");
    }

    [Fact]
    public void Whatever_is_read_is_judged_and_written_as_JSON()
    {
        var random = new Random(7);
        int judged = 0;
        for (int round = 0; round < s_rounds / 2; round++)
        {
            // A year of silent seconds is lived through in seconds; many of those are no test.
            if (CurveFile.Parse(Mutate(s_curves, random)).File is not { } file || file.Ticks[^1] - file.Ticks[0] > 10_000 * TimeSpan.TicksPerSecond
                || SpecFile.Parse(Mutate(s_specs, random)).Spec is not { } spec)
            {
                continue;
            }

            judged++;
            RecordedRun recorded = RecordedRun.Judge(file, spec, random.Next(3) switch { 0 => null, 1 => TimeSpan.MaxValue, _ => TimeSpan.FromSeconds(5) });
            using var stream = new MemoryStream();
            using (var json = new Utf8JsonWriter(stream))
            {
                Judgement.Write(json, recorded.Run, recorded.Origin, "test", "file.csv");
            }

            using JsonDocument written = JsonDocument.Parse(stream.ToArray());
            Assert.NotNull(written.RootElement.GetProperty("verdict").GetString());
            foreach (EngineEvent found in recorded.Events)
            {
                using var line = new MemoryStream();
                using var json = new Utf8JsonWriter(line);
                Judgement.WriteEvent(json, found, recorded.Origin);
            }
        }

        Assert.True(judged > s_rounds / 80, $"{judged}");
    }

    /// <summary>What a file without quotes says, read by splitting lines and fields.</summary>
    private static void CheckAgainstPlainReading(string text, CurveFile file)
    {
        Assert.NotEmpty(file.Ticks);
        Assert.All(file.Columns, c => Assert.Equal(file.Ticks.Count, c.Values.Count));
        for (int i = 1; i < file.Ticks.Count; i++)
        {
            Assert.True(file.Ticks[i] >= file.Ticks[i - 1]);
        }

        string[] lines = text.TrimStart('\uFEFF').Split('\n', '\r').Where(l => l.Length > 0).ToArray();
        if (text.Contains('"') || lines[0].Split(',')[0].Trim() != "time_s")
        {
            return;
        }

        Assert.Equal(lines.Length - 1, file.Ticks.Count);
        for (int row = 0; row < file.Ticks.Count; row++)
        {
            string[] fields = lines[row + 1].Split(',');
            Assert.Equal(file.Columns.Length + 1, fields.Length);
            Assert.Equal(double.Parse(fields[0], CultureInfo.InvariantCulture), file.Ticks[row] / 1e7, 1e-6);
            for (int i = 0; i < file.Columns.Length; i++)
            {
                Assert.Equal(string.IsNullOrWhiteSpace(fields[i + 1]), double.IsNaN(file.Columns[i].Values[row]));
            }
        }
    }

    private static byte[][] Corpus(string pattern) =>
        [.. Directory.GetFiles(Path.Combine(AppContext.BaseDirectory, "Fuzz", "corpus"), pattern).Order(StringComparer.Ordinal).Select(File.ReadAllBytes)];

    private static byte[] Mutate(byte[][] corpus, Random random)
    {
        List<byte> bytes = [.. corpus[random.Next(corpus.Length)]];
        for (int changes = random.Next(4); changes > 0; changes--)
        {
            int at = random.Next(bytes.Count + 1), to = random.Next(at, Math.Min(bytes.Count, at + 40) + 1);
            switch (random.Next(8))
            {
                case 0 when at < bytes.Count: bytes[at] ^= (byte)(1 << random.Next(8)); break;
                case 1 when at < bytes.Count: bytes[at] = (byte)('0' + random.Next(10)); break;
                case 2: bytes.RemoveRange(at, to - at); break;
                case 3: bytes.InsertRange(at, s_words[random.Next(s_words.Length)]); break;
                case 4: bytes.InsertRange(at, bytes[at..to]); break;
                case 5: bytes.InsertRange(at, corpus[random.Next(corpus.Length)].Take(random.Next(200))); break;
                case 6 when random.Next(4) == 0: bytes.RemoveRange(at, bytes.Count - at); break;
                default: bytes.RemoveRange(at, to - at); bytes.InsertRange(at, s_words[random.Next(s_words.Length)]); break;
            }
        }

        return [.. bytes];
    }
}
