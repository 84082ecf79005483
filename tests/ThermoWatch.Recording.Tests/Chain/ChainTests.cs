using System.Diagnostics;
using System.Text;
using CsCheck;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Tests.Journal;
using ThermoWatch.Tests;

namespace ThermoWatch.Recording.Tests.Chain;

public class ChainTests
{
    private readonly RefusingDisk _disk = new() { IsQuick = true };

    [Fact]
    public void Lines_come_back_and_the_chain_goes_on_after_reopening() => Gen.Select(Gen.String, Gen.Int[0, 3000]).Array[1, 12].Sample(bodies =>
    {
        using var folder = new TempFolder();
        string path = folder[ChainFile.FileName];
        for (int i = 0; i < bodies.Length; i++)
        {
            using ChainFile chain = ChainFile.Open(path, _disk);
            Assert.Equal(i, chain.LastNumber);
            Assert.Null(chain.Loss);
            Assert.Equal(i + 1, chain.Append(Sample.Noon.AddSeconds(i), ChainKinds.Audit, BodyOf(bodies[i])).Number);
        }

        ChainLine?[] lines = [.. ChainFile.Read(path, 0).Select(found => found.Line)];
        Assert.Equal(bodies.Select(body => Encoding.UTF8.GetString(BodyOf(body))), lines.Select(line => Encoding.UTF8.GetString(line!.Body)));
        Assert.Equal(Enumerable.Range(0, bodies.Length).Select(i => Sample.Noon.AddSeconds(i)), lines.Select(line => line!.Time));
        Assert.True(ChainCheck.Of(path, [], null, default).IsWhole);
    }, iter: 50);

    [Fact]
    public void Every_changed_byte_is_found_and_named_by_its_line()
    {
        using var folder = new TempFolder();
        string path = Fill(folder, 6);
        byte[] whole = File.ReadAllBytes(path);
        long[] ends = [.. ChainFile.Read(path, 0).Select(found => found.End)];
        for (int at = 0; at < whole.Length; at++)
        {
            byte[] damaged = [.. whole];
            damaged[at] ^= (byte)(1 << at % 8);
            File.WriteAllBytes(path, damaged);
            VerificationReport report = ChainCheck.Of(path, [], null, default);
            Assert.False(report.IsWhole, $"byte {at} was changed and nothing said so");
            int line = Array.FindIndex(ends, end => at < end);
            Assert.Equal(line == 0 ? 0 : ends[line - 1], report.Misfits[0].Offset);
        }
    }

    [Fact]
    public void A_line_taken_out_moved_or_doubled_does_not_fit()
    {
        using var folder = new TempFolder();
        string path = Fill(folder, 5);
        string[] lines = File.ReadAllLines(path);
        foreach (string[] changed in new[] { [lines[0], lines[2], lines[3], lines[4]], [lines[0], lines[2], lines[1], lines[3], lines[4]], [lines[0], lines[1], lines[1], lines[2], lines[3], lines[4]], lines[1..] })
        {
            File.WriteAllText(path, string.Concat(changed.Select(line => line + "\n")));
            Assert.False(ChainCheck.Of(path, [], null, default).IsWhole);
        }
    }

    [Fact]
    public void Power_cut_within_a_line_costs_that_line_only()
    {
        using var folder = new TempFolder();
        string path = Fill(folder, 3);
        byte[] whole = File.ReadAllBytes(path);
        long[] ends = [.. ChainFile.Read(path, 0).Select(found => found.End)];
        for (int length = 0; length <= whole.Length; length += 5)
        {
            File.WriteAllBytes(path, whole[..length]);
            using (ChainFile chain = ChainFile.Open(path, _disk))
            {
                Assert.Equal(ends.Count(end => end <= length), chain.LastNumber);
                Assert.Equal(length > 0 && !ends.Contains(length), chain.Loss is not null);
                chain.Append(Sample.Noon, ChainKinds.Audit, BodyOf(("after", 3)));
            }

            Assert.True(ChainCheck.Of(path, [], null, default).IsWhole);
        }
    }

    [Fact]
    public void Refused_line_leaves_nothing_behind_and_the_next_one_stands_in_its_place()
    {
        using var folder = new TempFolder();
        string path = folder[ChainFile.FileName];
        using (ChainFile chain = ChainFile.Open(path, _disk))
        {
            chain.Append(Sample.Noon, ChainKinds.Audit, BodyOf(("first", 3)));
            _disk.Full = true;
            Assert.Throws<IOException>(() => chain.Append(Sample.Noon, ChainKinds.Audit, BodyOf(("a long line that does not get there", 900))));
            _disk.Full = false;
            Assert.Equal(2, chain.Append(Sample.Noon, ChainKinds.Audit, BodyOf(("second", 3))).Number);
        }

        Assert.True(ChainCheck.Of(path, [], null, default).IsWhole);
        Assert.Equal(2, ChainFile.Read(path, 0).Count());
    }

    // The check that FORMAT.md gives to whoever has no ThermoWatch, run by a program that we did not write.
    [Fact]
    public async Task Chain_can_be_checked_without_this_program()
    {
        const string Check = """
            import hashlib, sys
            before = "0" * 64
            for line in open(sys.argv[1], "rb"):
                text, end = line[:-76], line[-76:]
                before = hashlib.sha256(before.encode() + text).hexdigest()
                if end != b',"hash":"' + before.encode() + b'"}\n':
                    sys.exit("does not fit: " + line.decode())
            print(before)
            """;
        string format = File.ReadAllText(Path.Combine(Repository.Root, "src", "ThermoWatch.Recording", "FORMAT.md")).ReplaceLineEndings("\n");
        Assert.Contains(Check.ReplaceLineEndings("\n"), format, StringComparison.Ordinal);
        using var folder = new TempFolder();
        string path = Fill(folder, 9);
        string head = ChainFile.Read(path, 0).Last().Line!.Hash;
        Assert.Equal((0, head), await PythonAsync(Check, path));
        File.WriteAllText(path, File.ReadAllText(path).Replace("body 4", "body 5", StringComparison.Ordinal));
        Assert.Equal(1, (await PythonAsync(Check, path)).Code);
    }

    private static async Task<(int Code, string Output)> PythonAsync(string script, string argument)
    {
        using Process python = Process.Start(new ProcessStartInfo(Peers.Program("python3", "python3"))
        {
            ArgumentList = { "-c", script, argument },
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
        string output = await python.StandardOutput.ReadToEndAsync();
        await python.WaitForExitAsync();
        return (python.ExitCode, output.Trim());
    }

    private string Fill(TempFolder folder, int count)
    {
        string path = folder[ChainFile.FileName];
        using ChainFile chain = ChainFile.Open(path, _disk);
        for (int i = 0; i < count; i++)
        {
            chain.Append(Sample.Noon.AddSeconds(i), ChainKinds.Audit, BodyOf(($"body {i}", i == 2 ? 2000 : 3)));
        }

        return path;
    }

    private static byte[] BodyOf((string Text, int Length) body) => System.Text.Json.JsonSerializer.SerializeToUtf8Bytes(new { text = body.Text, filling = new string('x', body.Length) });
}
