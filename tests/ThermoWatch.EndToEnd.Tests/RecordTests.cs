using System.Text.Json;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The record that a service leaves behind, and the verbs that check it, take it out and carry it away.</summary>
public sealed class RecordTests : IDisposable
{
    private static readonly string Spec = Published.DemoFile("traction-board.spec.json");
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("thermowatch-test-");

    private string Data => Path.Combine(_folder.FullName, "data");

    private string Chain => Path.Combine(Data, "chain.jsonl");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Every_run_is_sealed_when_it_ends_and_the_whole_record_fits()
    {
        await RecordAsync();
        (string Kind, JsonElement Line)[] lines = [.. Lines()];
        Assert.Equal(24, lines.Count(line => line.Kind == "sealed"));
        Assert.Contains(lines, line => line.Kind == "key");
        Assert.Contains(lines, line => line.Kind == "configuration");
        Assert.Contains(lines, line => line.Kind == "spec");
        Assert.Contains(lines, line => line.Kind == "audit" && line.Line.GetProperty("body").GetProperty("action").GetString() == "service.stopped");

        string heads = Path.Combine(_folder.FullName, "heads.json");
        Assert.Equal(0, (await RunAsync("verify", "--data", Data, "--write-heads", heads)).Code);
        await RecordAsync(); // it goes on, and what was kept still fits
        Assert.Equal(0, (await RunAsync("verify", "--data", Data, "--heads", heads, "--public-key", Path.Combine(Data, "node.pub"))).Code);
    }

    [Fact]
    public async Task One_changed_byte_in_each_kind_of_file_is_found_and_the_file_named()
    {
        await RecordAsync();
        string journal = Path.Combine(Data, "cells", "1", "journal");
        foreach (string path in new[] { Directory.GetFiles(journal, "*.twb")[0], Directory.GetFiles(journal, "*.twj")[0], Chain })
        {
            byte[] whole = await File.ReadAllBytesAsync(path);
            byte[] damaged = [.. whole];
            damaged[damaged.Length / 2] ^= 4;
            await File.WriteAllBytesAsync(path, damaged);
            (int code, string output) = await RunAsync("verify", "--data", Data);
            Assert.Equal(1, code);
            Assert.Contains(Path.GetFileName(path) + " at byte", output, StringComparison.Ordinal);
            await File.WriteAllBytesAsync(path, whole);
        }

        Assert.Equal(0, (await RunAsync("verify", "--data", Data)).Code);
    }

    [Fact]
    public async Task A_catalogue_that_is_gone_comes_back_with_every_run()
    {
        await RecordAsync();
        foreach (string path in Directory.GetFiles(Data, "thermowatch.sqlite*"))
        {
            File.Delete(path);
        }

        await RecordAsync();
        (int code, string output) = await RunAsync("verify", "--data", Data);
        Assert.True(code == 0, output);
        Assert.Equal(0, (await RunAsync("export", "--data", Data, "--run", "7", "--to-file", Path.Combine(_folder.FullName, "7.csv"))).Code);
    }

    [Fact]
    public async Task Runs_come_back_from_the_journal_alone_when_the_chain_of_events_is_gone_too()
    {
        await RecordAsync();
        string[] before = Runs(24);
        Assert.Equal(24, before.Length);
        foreach (string path in Directory.GetFiles(Data, "thermowatch.sqlite*").Append(Chain))
        {
            File.Delete(path);
        }

        await RecordAsync();
        Assert.Equal(before, Runs(24));
        (int code, string output) = await RunAsync("verify", "--data", Data);
        Assert.True(code == 0, output);
    }

    [Fact]
    public async Task A_run_is_taken_out_by_a_confirmed_decision_that_the_chain_keeps_and_the_record_still_fits()
    {
        await RecordAsync();
        string[] decision = ["remove-run", "--data", Data, "--run", "3", "--by", "M. Olsen", "--reason", "customer's data"];
        (int code, string output) = await RunAsync(decision);
        Assert.Equal(2, code);
        Assert.Contains("Lost for good: every reading and input of the run", output, StringComparison.Ordinal);
        Assert.Contains("nothing was deleted", output, StringComparison.Ordinal);
        Assert.DoesNotContain(Lines(), line => line.Kind == "removed");

        (code, output) = await RunAsync([.. decision, "--yes"]);
        Assert.True(code == 0, output);
        JsonElement[] removed = [.. Lines().Where(line => line.Kind == "removed").Select(line => line.Line.GetProperty("body"))];
        Assert.NotEmpty(removed);
        Assert.All(removed, body => Assert.Equal((3, "M. Olsen", "customer's data"), (body.GetProperty("run").GetInt64(), body.GetProperty("who").GetString(), body.GetProperty("why").GetString())));
        Assert.Contains(Lines(), line => line.Kind == "audit" && line.Line.GetProperty("body").GetProperty("action").GetString() == "run.removed");
        Assert.Equal(0, (await RunAsync("verify", "--data", Data)).Code);
        Assert.NotEqual(0, (await RunAsync("export", "--data", Data, "--run", "3", "--to-file", Path.Combine(_folder.FullName, "3.csv"))).Code);

        string[] runs = Runs(24);
        await RecordAsync(); // a restart lives on
        Assert.Equal(runs, Runs(24));
        (code, output) = await RunAsync("verify", "--data", Data);
        Assert.True(code == 0, output);
        Assert.Equal(2, (await RunAsync([.. decision, "--yes"])).Code); // it is out already
    }

    [Fact]
    public async Task An_exported_run_is_judged_as_it_was_when_it_was_recorded()
    {
        await RecordAsync();
        string file = Path.Combine(_folder.FullName, "run3.csv");
        Assert.Equal(0, (await RunAsync("export", "--data", Data, "--run", "3", "--curves", "--to-file", file)).Code);
        (int code, string output) = await RunAsync("judge", file, "--spec", Spec, "--json");
        Assert.Equal(0, code);
        Assert.Equal("pass", JsonDocument.Parse(output).RootElement.GetProperty("verdict").GetString());
        Assert.Equal(2, (await RunAsync("export", "--data", Data, "--run", "3", "--to-file", file)).Code); // never over a file
        Assert.Equal(2, (await RunAsync("export", "--data", Data, "--run", "999", "--to-file", file + ".csv")).Code);
    }

    private async Task RecordAsync()
    {
        await using ProgramRun demo = ProgramRun.Start(["demo", "--data", Data, "--port", FreePorts.Next().ToString()]);
        await demo.SaysAsync("ThermoWatch is at");
        Assert.Equal(0, await demo.InterruptAsync());
    }

    /// <summary>The runs up to a number as the chain last says them, without when they were said.</summary>
    private string[] Runs(int upTo) => [.. Lines().Where(line => line.Kind == "run").Select(line => Body(line.Line))
        .Where(run => run.GetProperty("number").GetInt64() <= upTo).GroupBy(run => run.GetProperty("number").GetInt64()).OrderBy(runs => runs.Key).Select(runs => runs.Last().GetRawText())];

    private static JsonElement Body(JsonElement line)
    {
        if (line.TryGetProperty("body", out JsonElement body))
        {
            return body;
        }

        using var packed = new System.IO.Compression.BrotliStream(new MemoryStream(line.GetProperty("packed").GetBytesFromBase64()), System.IO.Compression.CompressionMode.Decompress);
        return JsonDocument.Parse(packed).RootElement;
    }

    private IEnumerable<(string Kind, JsonElement Line)> Lines() => File.ReadLines(Chain).Select(line => JsonDocument.Parse(line).RootElement).Select(line => (line.GetProperty("kind").GetString()!, line));

    private static async Task<(int Code, string Output)> RunAsync(params string[] arguments)
    {
        await using ProgramRun run = ProgramRun.Start(arguments);
        int code = await run.EndsAsync();
        return (code, run.Output + run.Errors);
    }
}
