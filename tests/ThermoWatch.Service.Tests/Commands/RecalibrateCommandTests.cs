using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Commands.Recalibrate;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Commands;

public sealed class RecalibrateCommandTests : IDisposable
{
    private const string Spec = """
        { "name": "Inverter board", "version": 3, "alloy": { "name": "SAC305", "solidus": 217, "liquidus": 217 },
          "soak": { "from": 150, "to": 200 }, "limits": [ { "figure": "peakTemperature", "upper": 240.5 } ] }
        """;

    // Reads 1.2 K high at 217 °C and above, right at 25 °C.
    private const string ReadsHigh = """{ "tc1": { "points": [[25, 25], [217, 215.8], [300, 298.8]], "certificate": "C-17", "U": 0.6 } }""";

    private static readonly Timestamp s_start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("recalibrate");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Curve_file_is_judged_twice_and_both_are_shown()
    {
        string curves = Path.Combine(_folder.FullName, "both.csv");
        (int exit, string output, string error) = Run(
            Curve(peak: 241), "--spec", Write("spec.json", Spec), "--calibration", Write("c.json", ReadsHigh), "--curves", curves);
        Assert.Equal((0, ""), (exit, error));
        Assert.Contains("run.csv: fail as recorded, pass with the calibrations", output, StringComparison.Ordinal);
        Assert.Contains("tc1 (C-17): 0 at 25, -1.2 at 217, -1.2 at 300", output, StringComparison.Ordinal);
        Assert.Matches(@"peakTemperature +tc1 +241 degC +239\.8 degC +-1\.2  fail -> pass", output);

        // Both columns are a curve file again, one reading a row.
        CurveFile both = CurveFile.Parse(File.ReadAllBytes(curves)).File!;
        Assert.Equal(["tc1", "tc1 recalibrated"], both.Columns.Select(column => column.Name));
        Assert.Equal(241, both.Columns[0].Values.Max());
        Assert.Equal(239.8, both.Columns[1].Values.Max(), 1e-9);
        Assert.Equal(661, both.Ticks.Count);
    }

    [Fact]
    public void Json_holds_both_judgements_whole()
    {
        (int exit, string output, _) = Run(Curve(peak: 240), "--spec", Write("spec.json", Spec), "--calibration", Write("c.json", """{ "tc1": { "points": [[0, 1]] } }"""), "--json");
        Assert.Equal(1, exit); // passes as recorded, 241 °C with the calibration
        using JsonDocument json = JsonDocument.Parse(output);
        Assert.Equal("pass", json.RootElement.GetProperty("recorded").GetProperty("verdict").GetString());
        Assert.Equal("fail", json.RootElement.GetProperty("recalibrated").GetProperty("verdict").GetString());
        Assert.Equal(240, Peak(json, "recorded"));
        Assert.Equal(241, Peak(json, "recalibrated"));
    }

    [Fact]
    public async Task Run_of_the_record_is_lived_through_again_and_the_record_stays_as_it_is()
    {
        string data = await RecordOneRunAsync();
        Dictionary<string, byte[]> before = Files(data);
        (int exit, string output, string error) = Run("--data", data, "--run", "1", "--calibration", Write("c.json", ReadsHigh), "--json");
        // A slow machine says how far it is; nothing else is said.
        Assert.All(error.Split('\n', StringSplitOptions.RemoveEmptyEntries), line => Assert.StartsWith("thermowatch recalibrate: at entry", line, StringComparison.Ordinal));
        Assert.Equal(0, exit);
        using JsonDocument json = JsonDocument.Parse(output);
        Assert.Empty(json.RootElement.GetProperty("notes").EnumerateArray()); // as recorded it is what the catalogue says
        Assert.Equal("fail", json.RootElement.GetProperty("recorded").GetProperty("verdict").GetString());
        Assert.Equal("pass", json.RootElement.GetProperty("recalibrated").GetProperty("verdict").GetString());

        // The cell was recorded with a calibration of -0.5 K; the new one takes its place, not its hand.
        Assert.Equal(240.7, Peak(json, "recorded"), 1e-9);
        Assert.Equal(240, Peak(json, "recalibrated"), 1e-9);
        Dictionary<string, byte[]> after = Files(data);
        Assert.Equal(before.Keys.Order(), after.Keys.Order());
        Assert.All(before, file => Assert.Equal(file.Value, after[file.Key]));
    }

    [Theory]
    [InlineData("""{ "tc1": { "points": [[200, 1], [100, 2]] } }""", "tc1.points", "rise")]
    [InlineData("""{ "tc1": { "points": [[0, 0]], "u": 1 } }""", "tc1.u", "not a known key")]
    [InlineData("""{ "tc9": { "points": [[0, 0]] } }""", "no channel tc9", "it has tc1")]
    [InlineData("{ }", "names no channel", "points")]
    [InlineData("{ ", "line 1", "JSON")]
    public void Calibrations_that_cannot_be_used_are_named_with_their_remedy(string calibrations, string problem, string remedy)
    {
        (int exit, string output, string error) = Run(Curve(peak: 241), "--spec", Write("spec.json", Spec), "--calibration", Write("c.json", calibrations));
        Assert.Equal((2, ""), (exit, output));
        Assert.Contains(problem, error, StringComparison.Ordinal);
        Assert.Contains(remedy, error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_not_there_is_said()
    {
        string calibration = Write("c.json", ReadsHigh);
        Assert.Equal(3, Run("--data", Path.Combine(_folder.FullName, "nowhere"), "--run", "1", "--calibration", calibration).Exit);
        string data = await RecordOneRunAsync();
        (int exit, _, string error) = Run("--data", data, "--run", "7", "--calibration", calibration);
        Assert.Equal(2, exit);
        Assert.Contains("the newest is run 1", error, StringComparison.Ordinal);
        Assert.Contains("no record of a cell 4", Run("--data", data, "--run", "1", "--cell", "4", "--calibration", calibration).Error, StringComparison.Ordinal);
        Assert.Contains("--spec", Run(Curve(peak: 241), "--calibration", calibration).Error, StringComparison.Ordinal);
        Assert.Contains("--run", Run("--data", data, "--calibration", calibration).Error, StringComparison.Ordinal);

        using var service = Recording.DataFolder.Open(data, TimeProvider.System).Folder;
        (exit, _, error) = Run("--data", data, "--run", "1", "--calibration", calibration);
        Assert.Equal(3, exit);
        Assert.Contains("thermowatch backup", error, StringComparison.Ordinal);
    }

    private static double Peak(JsonDocument json, string side) => json.RootElement.GetProperty(side).GetProperty("figures").EnumerateArray()
        .Single(figure => figure.GetProperty("figure").GetString() == "peakTemperature").GetProperty("value").GetDouble();

    /// <summary>A board's run in a cell whose sensor had a calibration of -0.5 K, as the service records it.</summary>
    private async Task<string> RecordOneRunAsync()
    {
        string data = Path.Combine(_folder.FullName, "data");
        using Recording.DataFolder folder = Recording.DataFolder.Open(data, TimeProvider.System).Folder!;
        CellDefinition cell = new()
        {
            Number = 1,
            Name = "Cell 1",
            Carriers = ["A"],
            Devices = [new DeviceDefinition("amp", "amplifier", TimeSpan.FromSeconds(0.5), ["p0"])],
            Channels =
            [
                new ChannelDefinition
                {
                    Id = "tc1", Name = "tc1", Role = ChannelRole.Product, Carrier = "A", Device = "amp", Point = "p0",
                    Conversion = new ChannelConversion
                    {
                        Unit = MeasuredUnit.DegreeCelsius,
                        Calibrations = new([new Calibration([new(0, -0.5)]) { Version = 1, ValidFrom = default }]),
                    },
                },
            ],
        };
        using CellJournal journal = CellJournal.Open(folder.JournalPath(1), cell, TimeProvider.System);
        using RunCatalogue catalogue = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);
        await using var recorder = new RunRecorder(catalogue, 1, TimeProvider.System, NullLogger.Instance);
        var host = new CellHost(
            new CellConfiguration(cell, [], SpecFile.Parse(System.Text.Encoding.UTF8.GetBytes(Spec)).Spec), journal, recorder, new Viewers(NullLogger.Instance),
            new NodeMode("test", new AnchoredClock(TimeProvider.System), TimeProvider.System), NullLogger.Instance);
        host.AssignSpec(s_start);
        for (int i = 0; i < 4000; i++) // half an hour before it: the snapshots of a quiet cell
        {
            host.Process([new ScanInput(new RawScan(0, s_start.AddSeconds(i * 0.5), [Board((i * 0.5) - 1600, 241.2)], [SignalQuality.Good]))]);
        }

        return data;
    }

    /// <summary>Every file of a folder that holds the record itself; the lock, its holder and the catalogue's side files are not it.</summary>
    private static Dictionary<string, byte[]> Files(string data) => Directory.EnumerateFiles(data, "*", SearchOption.AllDirectories)
        .Where(file => !file.EndsWith("lock", StringComparison.Ordinal) && !file.EndsWith("service.json", StringComparison.Ordinal) && !file.Contains("sqlite-", StringComparison.Ordinal))
        .ToDictionary(file => file, File.ReadAllBytes);

    private string Curve(double peak) => Write("run.csv", "time_s,tc1 [degC]\n" + string.Join('\n', Enumerable.Range(0, 661).Select(i =>
        string.Create(CultureInfo.InvariantCulture, $"{i * 0.5},{Board(i * 0.5, peak)}"))));

    private static double Board(double t, double peak)
    {
        (double T, double V)[] points = [(0, 25), (60, 130), (90, 160), (180, 170), (210, 215), (225, 235), (245, peak), (255, peak), (265, 228), (285, 205), (330, 85), (360, 30)];
        if (t <= 0) return 25;
        int i = 1;
        while (i < points.Length - 1 && points[i].T < t) i++;
        return t > points[^1].T ? points[^1].V : points[i - 1].V + ((points[i].V - points[i - 1].V) * (t - points[i - 1].T) / (points[i].T - points[i - 1].T));
    }

    private string Write(string name, string text)
    {
        string path = Path.Combine(_folder.FullName, name);
        File.WriteAllText(path, text);
        return path;
    }

    private static (int Exit, string Output, string Error) Run(params string[] arguments)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int exit = RecalibrateCommand.Create().Parse(arguments).Invoke(new InvocationConfiguration { Output = output, Error = error });
        return (exit, output.ToString(), error.ToString());
    }
}
