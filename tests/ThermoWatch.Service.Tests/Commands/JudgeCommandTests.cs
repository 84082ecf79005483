using System.CommandLine;
using System.Text.Json;
using ThermoWatch.Service.Commands;

namespace ThermoWatch.Service.Tests.Commands;

public sealed class JudgeCommandTests : IDisposable
{
    private const string Spec = """
        { "name": "Inverter board", "version": 3, "alloy": { "name": "SAC305", "solidus": 217, "liquidus": 217 },
          "soak": { "from": 150, "to": 200 }, "vacuum": { "target": 50 },
          "limits": [ { "figure": "peakTemperature", "upper": UPPER }, { "figure": "pumpDownTime", "upper": 15 } ] }
        """;

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("judge");

    public void Dispose() => _folder.Delete(recursive: true);

    private string Write(string name, string text)
    {
        string path = Path.Combine(_folder.FullName, name);
        File.WriteAllText(path, text);
        return path;
    }

    private string SpecFile(double upper = 245) => Write("spec.json", Spec.Replace("UPPER", FormattableString.Invariant($"{upper}"), StringComparison.Ordinal));

    /// <summary>The run of the profile examples with its chamber, twice a second.</summary>
    private string CurveFile(string name = "run.csv")
    {
        (double, double)[] board = [(0, 25), (60, 130), (90, 160), (180, 170), (210, 215), (225, 235), (245, 240), (255, 240), (265, 228), (285, 205), (330, 85)];
        (double, double)[] chamber = [(0, 1013), (228, 1013), (233, 500), (238, 100), (242, 20), (252, 20), (256, 500), (258, 1013), (330, 1013)];
        IEnumerable<string> rows = Enumerable.Range(0, 661).Select(i =>
            FormattableString.Invariant($"{i * 0.5},{At(i * 0.5, board)},{At(i * 0.5, chamber)}"));
        return Write(name, "time_s,tc1 [degC],p [mbar]\n" + string.Join('\n', rows));
    }

    private static double At(double t, (double T, double V)[] points)
    {
        int i = 1;
        while (points[i].T < t)
        {
            i++;
        }

        return points[i - 1].V + ((points[i].V - points[i - 1].V) * (t - points[i - 1].T) / (points[i].T - points[i - 1].T));
    }

    private static (int Code, string Output, string Error) Run(params string[] args)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = JudgeCommand.Create().Parse(args).Invoke(new InvocationConfiguration { Output = output, Error = error });
        return (code, output.ToString(), error.ToString());
    }

    [Fact]
    public void Readings_that_no_figure_holds_are_told_with_their_time()
    {
        string[] lines = File.ReadAllLines(CurveFile());
        int Row(double seconds) => 1 + (int)(seconds * 2);
        foreach (double at in new[] { 20.0, 100.5, 120, 140, 160, 300 })
        {
            lines[Row(at)] = lines[Row(at)].Replace(",1013", ",7", StringComparison.Ordinal);
        }

        lines[Row(250)] = "250,277,20"; // beside 240 °C
        string struck = Write("struck.csv", string.Join('\n', lines));
        string[] told = Table(struck);
        Assert.Contains("  Not judged: 1 single reading of tc1 far from both neighbours, at 250 s", told);
        Assert.Contains("  Not judged: 6 single readings of p far from both neighbours, at 20, 100.5, 120, 140, 160 s and later", told);
        string[] clean = Table(CurveFile());
        Assert.DoesNotContain(clean, line => line.Contains("Not judged", StringComparison.Ordinal));
        Assert.Equal(clean[1..], told[1..].Where(line => !line.Contains("Not judged", StringComparison.Ordinal)));

        // A valve that opened by mistake for three seconds: no step, but said.
        for (double at = 100; at <= 103; at += 0.5)
        {
            lines[Row(at)] = lines[Row(at)][..lines[Row(at)].LastIndexOf(',')] + ",800";
        }

        Assert.Contains("  Note: shallowEvacuation", Table(Write("shallow.csv", string.Join('\n', lines))));
    }

    private string[] Table(string file) => Run(file, "--spec", SpecFile()).Output.Split(Environment.NewLine);

    [Fact]
    public void Judgement_has_every_key_of_its_contract()
    {
        (int code, string output, string error) = Run(CurveFile(), "--spec", SpecFile(), "--json");
        Assert.Equal((0, ""), (code, error));
        using var json = JsonDocument.Parse(output);
        JsonElement root = json.RootElement;

        Assert.Equal(["verdict", "reasons", "spec", "figures", "phases", "software", "algorithm"], root.EnumerateObject().Select(p => p.Name));
        Assert.Equal("pass", root.GetProperty("verdict").GetString());
        Assert.Equal(3, root.GetProperty("spec").GetProperty("version").GetInt32());
        JsonElement[] figures = [.. root.GetProperty("figures").EnumerateArray()];
        Assert.All(figures, f => Assert.Equal(
            ["figure", "channel", "value", "low", "high", "unit", "lower", "upper", "verdict", "reason", "notes", "margin", "U", "severity", "decidedBy"],
            f.EnumerateObject().Select(p => p.Name)));
        Assert.Equal(34, figures.Length); // 16 of the channel, 5 of the carrier, 13 of the chamber
        Assert.Equal(240, figures[0].GetProperty("value").GetDouble());
        // Worked example v1_pumpDownTime at a 0.5 s raster: the corner points lie on it.
        Assert.Equal(12.00634, figures.Single(f => f.GetProperty("figure").GetString() == "pumpDownTime").GetProperty("value").GetDouble(), 1e-4);
        JsonElement load = root.GetProperty("phases")[0];
        Assert.Equal(("load", 0.0), (load.GetProperty("phase").GetString(), load.GetProperty("start_s").GetDouble()));
    }

    [Fact]
    public void Exit_code_tells_the_verdict()
    {
        string curve = CurveFile();
        Assert.Equal(1, Run(curve, "--spec", SpecFile(upper: 239)).Code);
        Assert.Equal(4, Run(curve, "--spec", Write("none.json", """{ "name": "n", "version": 1, "alloy": { "name": "a", "solidus": 217, "liquidus": 217 }, "limits": [] }""")).Code);
        Assert.Equal(2, Run(curve, "--spec", Path.Combine(_folder.FullName, "missing.json")).Code);
        Assert.Equal(2, Run(curve, "--spec", SpecFile(), "--gap", "never").Code);
    }

    [Fact]
    public void Bad_file_is_one_line_on_standard_error_and_the_others_are_judged()
    {
        string bad = Write("bad.csv", "time_s,tc1 [degC]\n0,25\n0,5,25\n");
        (int code, string output, string error) = Run(bad, CurveFile(), "--spec", SpecFile(), "--json");

        Assert.Equal(2, code);
        Assert.Contains("bad.csv: line 3, column 3:", Assert.Single(error.Split('\n', StringSplitOptions.RemoveEmptyEntries)), StringComparison.Ordinal);
        using var json = JsonDocument.Parse(Assert.Single(output.Split('\n', StringSplitOptions.RemoveEmptyEntries)));
        Assert.EndsWith("run.csv", json.RootElement.GetProperty("file").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Several_files_come_one_object_a_line_in_their_order()
    {
        string[] files = [.. Enumerable.Range(0, 30).Select(i => CurveFile($"run-{i:00}.csv"))];
        (int code, string output, _) = Run([.. files, "--spec", SpecFile(), "--json"]);
        Assert.Equal(0, code);
        Assert.Equal(files, output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => JsonDocument.Parse(line).RootElement.GetProperty("file").GetString()));
    }

    [Fact]
    public void Events_come_in_order_of_time()
    {
        (int code, string output, _) = Run(CurveFile(), "--spec", SpecFile(upper: 238), "--events");
        JsonElement[] lines = [.. output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => JsonDocument.Parse(line).RootElement)];
        double[] times = [.. lines.Select(l => l.GetProperty("t").GetDouble())];
        string[] kinds = [.. lines.Select(l => l.GetProperty("event").GetString()!).Distinct()];

        Assert.Equal(1, code);
        Assert.Equal(times.Order(), times);
        Assert.Equal(["alarm", "figure", "phase", "run"], kinds.Order());
        JsonElement alarm = lines.First(l => l.GetProperty("event").GetString() == "alarm");
        Assert.Equal(
            ["t", "event", "condition", "channel", "state", "predicted", "figure", "value", "limit", "timeToAct_s"], alarm.EnumerateObject().Select(p => p.Name));
        Assert.Equal(("tooHot", "tc1", "unacknowledged"),
            (alarm.GetProperty("condition").GetString(), alarm.GetProperty("channel").GetString(), alarm.GetProperty("state").GetString()));
    }

    [Fact]
    public void Table_shows_the_window_of_each_limited_figure()
    {
        string output = Run(CurveFile(), "--spec", SpecFile()).Output;
        Assert.StartsWith("run.csv: pass by Inverter board version 3", output, StringComparison.Ordinal);
        Assert.Contains("at most 245", output, StringComparison.Ordinal);
        Assert.Contains("evacuate", output, StringComparison.Ordinal);
    }

    [Fact]
    public void Table_says_which_alloy_was_used_and_what_the_vapour_should_have_been()
    {
        string spec = Write("thin.json", """
            { "name": "Thin air", "version": 1, "alloy": { "name": "SAC305", "solidus": 217, "liquidus": 219 }, "channelAlloys": { "tc2": "Sn42Bi58" },
              "fluid": { "name": "230", "boilingPoint": 230 },
              "limits": [ { "figure": "sustainedPeak", "lower": 228, "document": "paste sheet" } ] }
            """);
        string rows = string.Concat(Enumerable.Range(0, 300).Select(i => FormattableString.Invariant($"{i},{25 + (i * 0.66)},898.75\n")));
        string output = Run(Write("thin.csv", "time_s,tc1 [degC],room [hPa] barometer\n" + rows), "--spec", spec).Output;

        Assert.Contains("SAC305, solidus 217, liquidus 219 degC (the library has 217 and 220)", output, StringComparison.Ordinal);
        Assert.Contains("tc2: Sn42Bi58, solidus 138, liquidus 138 degC", output, StringComparison.Ordinal);
        Assert.Contains("Vapour of fluid 230 expected at 225.5 degC (224.5 to 226.1), at 899 hPa", output, StringComparison.Ordinal);
        Assert.Contains("At this pressure: sustainedPeak must be at least 228 degC by \"paste sheet\"", output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("time_s,tc1 [degC]\n0,25\n", 1)] // never molten
    [InlineData("time_s,p [mbar]\n0,1013\n1,1012\n", 4)] // nothing on the board
    [InlineData("time_s,tc1 [degC],p [mbar]\n0,,\n1,,\n", 4)] // nothing at all
    public void Least_of_files_is_judged_and_shown(string text, int code)
    {
        string spec = Write("least.json", """{ "name": "n", "version": 1, "alloy": "SAC305", "limits": [ { "figure": "timeAboveLiquidus", "lower": 40 } ] }""");
        (int table, string output, string error) = Run(Write("least.csv", text), "--spec", spec);
        Assert.Equal((code, ""), (table, error));
        Assert.Contains("timeAboveLiquidus", output, StringComparison.Ordinal);
        Assert.Equal(code, Run(Write("least.csv", text), "--spec", spec, "--json").Code);
        Assert.Equal(code, Run(Write("least.csv", text), "--spec", spec, "--events").Code);
    }

    [Fact]
    public void Folder_and_misspelt_option_are_named_as_such()
    {
        Assert.Contains("this is a folder", Run(_folder.FullName, "--spec", SpecFile()).Error, StringComparison.Ordinal);
        Assert.Contains("no such option", Run(CurveFile(), "--jsn", "--spec", SpecFile()).Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(5, 0, 10, "      [-----|-----]      ")]
    [InlineData(12, 0, 10, "      [-----------] |    ")]
    [InlineData(-20, 0, 10, "|     [-----------]      ")]
    public void Bar_puts_the_value_where_it_lies_in_its_window(double value, double lower, double upper, string bar) =>
        Assert.Equal(bar, JudgementTable.Bar(value, lower, upper));
}
