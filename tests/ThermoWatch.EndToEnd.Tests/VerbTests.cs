using System.Text.Json;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The verbs that need no running service, as people type them.</summary>
public sealed class VerbTests : IDisposable
{
    private static readonly string Spec = Published.DemoFile("traction-board.spec.json");
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("thermowatch-test-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task A_fleet_is_made_and_each_of_its_instrumented_runs_is_judged()
    {
        string fleet = Path.Combine(_folder.FullName, "fleet");
        await using ProgramRun make = ProgramRun.Start(["simulate", "fleet", "--runs", "4", "--seed", "3", "--faults", "0", "--production", "0", "--out", fleet]);
        Assert.Equal(0, await make.EndsAsync());
        string[] files = [.. Directory.EnumerateFiles(fleet, "run-????.csv").Order()];
        Assert.Equal(4, files.Length);
        Assert.All(files, f => Assert.True(File.Exists(Path.ChangeExtension(f, ".true.csv")) && File.Exists(Path.ChangeExtension(f, ".json"))));

        await using ProgramRun judge = ProgramRun.Start(["judge", .. files, "--spec", Spec, "--json"]);
        int code = await judge.EndsAsync();
        string[] lines = judge.Output.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(4, lines.Length);
        string[] verdicts = [.. lines.Select(l => JsonDocument.Parse(l).RootElement.GetProperty("verdict").GetString()!)];
        Assert.Equal(verdicts.Contains("fail") ? 1 : verdicts.Contains("undetermined") ? 4 : 0, code);
        JsonElement first = JsonDocument.Parse(lines[0]).RootElement;
        Assert.Equal("Traction board", first.GetProperty("spec").GetProperty("name").GetString());
        Assert.Contains(first.GetProperty("figures").EnumerateArray(), f => f.GetProperty("figure").GetString() == "timeAboveLiquidus" && f.GetProperty("value").ValueKind == JsonValueKind.Number);
    }

    [Fact]
    public async Task A_run_lived_through_says_when_it_began_and_what_it_entered()
    {
        string fleet = Path.Combine(_folder.FullName, "fleet");
        await using ProgramRun make = ProgramRun.Start(["simulate", "fleet", "--runs", "1", "--seed", "5", "--faults", "0", "--production", "0", "--out", fleet]);
        Assert.Equal(0, await make.EndsAsync());
        await using ProgramRun judge = ProgramRun.Start(["judge", Path.Combine(fleet, "run-0001.csv"), "--spec", Spec, "--events"]);
        await judge.EndsAsync();
        JsonElement[] events = [.. judge.Output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => JsonDocument.Parse(l).RootElement)];
        double[] times = [.. events.Select(e => e.GetProperty("t").GetDouble())];
        Assert.Equal(times.Order(), times);
        Assert.Contains(events, e => e.GetProperty("event").GetString() == "run" && e.GetProperty("state").GetString() == "started");
        string[] phases = [.. events.Where(e => e.GetProperty("event").GetString() == "phase").Select(e => e.GetProperty("name").GetString()!)];
        Assert.Equal(["preheat", "soak", "ramp", "reflow", "evacuate", "hold", "vent", "cool"], phases.Where(p => p != "load"));
    }

    [Theory]
    [InlineData("time_s,a [degC]\n0,25\n1,26,5\n", "3")]
    [InlineData("time_s;a [degC]\n0;25\n", "1")]
    [InlineData("time_s,a [degC]\n0,25\n0.5,NaN\n", "3")]
    [InlineData("time_s,a [bar]\n0,1\n1,1\n", "bar")]
    [InlineData("", "empty")]
    public async Task A_curve_file_that_cannot_be_read_is_one_line_that_says_where(string csv, string where)
    {
        string file = Path.Combine(_folder.FullName, "run.csv");
        await File.WriteAllTextAsync(file, csv);
        await using ProgramRun judge = ProgramRun.Start(["judge", file, "--spec", Spec]);
        Assert.Equal(2, await judge.EndsAsync());
        Assert.Contains(where, judge.Errors, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", judge.Errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_probe_reads_each_device_once_and_shows_raw_and_all_word_orders()
    {
        await using Node node = new();
        await node.StartMachineAsync("--start-at", "100");
        await using ProgramRun probe = ProgramRun.Start(
            ["probe", "--config", Published.DemoFile("thermowatch.json"), "--answers", "5"], ("THERMOWATCH__cells__0__devices__0__port", node.MachinePort.ToString()));
        Assert.Equal(0, await probe.EndsAsync());
        Assert.Contains("tc1", probe.Output, StringComparison.Ordinal);
        Assert.Contains("DCBA", probe.Output, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task A_record_is_verified_backed_up_while_it_grows_and_restored_and_a_changed_byte_is_found()
    {
        string backup = Path.Combine(_folder.FullName, "backup"), restored = Path.Combine(_folder.FullName, "restored");
        await using Node node = new();
        await node.StartMachineAsync("--start-at", "100");
        await node.StartServiceAsync();
        await using (LiveClient client = await LiveClient.ConnectAsync(node.Port))
        {
            for (int i = 0; i < 30; i++)
            {
                await client.NextFrameAsync();
            }
        }

        Assert.Equal(0, await EndAsync("verify", "--data", node.DataFolder));
        Assert.Equal(0, await EndAsync("backup", "--data", node.DataFolder, "--to", backup));
        Assert.Equal(0, await EndAsync("restore", "--from", backup, "--data", restored));
        Assert.Equal(0, await EndAsync("verify", "--data", restored));

        string journal = Directory.EnumerateFiles(restored, "*.twj", SearchOption.AllDirectories).First();
        byte[] bytes = await File.ReadAllBytesAsync(journal);
        bytes[bytes.Length / 2] ^= 1;
        await File.WriteAllBytesAsync(journal, bytes);
        await using ProgramRun verify = ProgramRun.Start(["verify", "--data", restored]);
        Assert.Equal(1, await verify.EndsAsync());
        Assert.Contains(Path.GetFileName(journal), verify.Output + verify.Errors, StringComparison.Ordinal);
    }

    private static async Task<int> EndAsync(params string[] arguments)
    {
        await using ProgramRun program = ProgramRun.Start(arguments);
        int code = await program.EndsAsync();
        Assert.True(code == 0, program.Output + program.Errors);
        return code;
    }

    [Fact]
    public async Task A_probe_of_a_device_that_is_not_there_says_so_with_code_3()
    {
        await using ProgramRun probe = ProgramRun.Start(
            ["probe", "--config", Published.DemoFile("thermowatch.json"), "--answers", "1"], ("THERMOWATCH__cells__0__devices__0__port", FreePorts.Next().ToString()));
        Assert.Equal(3, await probe.EndsAsync());
    }
}
