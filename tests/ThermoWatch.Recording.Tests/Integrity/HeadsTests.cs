using System.Diagnostics;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Archive;
using ThermoWatch.Recording.Tests.Journal;
using ThermoWatch.Tests;

namespace ThermoWatch.Recording.Tests.Integrity;

public class HeadsTests
{
    private static readonly FakeTimeProvider Time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private static readonly RefusingDisk Quick = new() { IsQuick = true };

    [Fact]
    public void Private_key_is_readable_by_its_owner_alone_and_stays_the_same()
    {
        using var folder = new TempFolder();
        using NodeKey first = NodeKey.Open(folder.Path).Key!;
        using NodeKey again = NodeKey.Open(folder.Path).Key!;
        Assert.Equal(first.PublicKey, again.PublicKey);
        if (!OperatingSystem.IsWindows())
        {
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(folder[NodeKey.FileName]));
        }

        Assert.Equal(first.PublicKey, File.ReadAllText(folder[NodeKey.PublicFileName]));
        Assert.True(NodeKey.IsSigned("x"u8, first.Sign("x"u8), again.PublicKey));
        Assert.False(NodeKey.IsSigned("y"u8, first.Sign("x"u8), again.PublicKey));
    }

    [Fact]
    public void A_key_file_that_holds_no_key_is_named_with_what_to_do()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder[NodeKey.FileName], "nothing");
        (NodeKey? key, string? problem) = NodeKey.Open(folder.Path);
        Assert.Null(key);
        Assert.Contains("node.key", problem, StringComparison.Ordinal);
    }

    // OpenSSL knows nothing of us: whoever has the public key can check the heads with it.
    [Fact]
    public async Task Signed_heads_are_checked_by_a_program_that_we_did_not_write()
    {
        string openssl = Peers.Program("openssl", "openssl");
        using TempFolder data = Record(60);
        using NodeKey key = NodeKey.Open(data.Path).Key!;
        ChainHeads.Write(data.Path, data["heads.json"], key, Sample.Noon);
        Assert.Equal(0, await RunAsync(openssl, data));
        File.AppendAllText(data["heads.json"], " ");
        Assert.Equal(1, await RunAsync(openssl, data));
    }

    [Fact]
    public void Heads_that_were_kept_fit_a_record_that_has_grown_and_no_other()
    {
        using TempFolder data = Record(60);
        using var kept = new TempFolder();
        string heads = kept["heads.json"];
        using (NodeKey key = NodeKey.Open(data.Path).Key!)
        {
            ChainHeads.Write(data.Path, heads, key, Sample.Noon);
        }

        string publicKey = File.ReadAllText(data[NodeKey.PublicFileName]);
        Assert.Empty(ChainHeads.Check(data.Path, heads, publicKey));
        Grow(data, 60, 120);
        Assert.Empty(ChainHeads.Check(data.Path, heads, publicKey));

        // The same cell recorded anew, every checksum and chain in it right: only who kept the heads can tell.
        using TempFolder forged = Record(60, shift: 1);
        Assert.All(RecordVerification.OfFolder(forged.Path), part => Assert.Empty(part.Report.Misfits));
        Assert.Contains("is not what it was", ChainHeads.Check(forged.Path, heads, publicKey)[0].What, StringComparison.Ordinal);
        using TempFolder shorter = Record(20);
        Assert.Contains("is not sealed here", ChainHeads.Check(shorter.Path, heads, publicKey)[0].What, StringComparison.Ordinal);
    }

    [Fact]
    public void Heads_that_were_changed_or_signed_by_another_are_refused()
    {
        using TempFolder data = Record(30);
        using var other = new TempFolder();
        using NodeKey key = NodeKey.Open(data.Path).Key!, stranger = NodeKey.Open(other.Path).Key!;
        string heads = other["heads.json"];
        ChainHeads.Write(data.Path, heads, stranger, Sample.Noon);
        Assert.Contains("signature", ChainHeads.Check(data.Path, heads, key.PublicKey)[0].What, StringComparison.Ordinal);
        ChainHeads.Write(data.Path, heads, key, Sample.Noon);
        byte[] bytes = File.ReadAllBytes(heads);
        for (int at = 0; at < bytes.Length; at += 3)
        {
            byte[] changed = [.. bytes];
            changed[at] ^= 1;
            File.WriteAllBytes(heads, changed);
            Assert.NotEmpty(ChainHeads.Check(data.Path, heads, key.PublicKey));
        }
    }

    [Fact]
    public void An_archive_whose_end_was_cut_off_no_longer_fits_the_chain_of_events()
    {
        using TempFolder data = Record(60);
        string journal = data["cells/1/journal"];
        foreach (string file in Directory.GetFiles(journal))
        {
            if (file.EndsWith(".twj", StringComparison.Ordinal))
            {
                File.Delete(file);
            }
        }

        Assert.All(RecordVerification.OfFolder(data.Path), part => Assert.Empty(part.Report.Misfits));
        using (CellJournal opened = CellJournal.Open(journal, Sample.Cell, Time, Options(null), Quick))
        {
            Assert.Empty(opened.Losses);
        }

        string archive = Directory.GetFiles(journal, "*.twb").Single();
        List<Recording.Archive.SealedBlock> blocks = Recording.Archive.ArchiveIndex.Blocks(archive, [], out _);
        using (FileStream stream = File.OpenWrite(archive))
        {
            stream.SetLength(blocks[^1].Offset); // a cut between two blocks: the archive alone cannot tell
        }

        (string part, VerificationReport report) = RecordVerification.OfFolder(data.Path).First(part => !part.Report.IsWhole);
        Assert.Equal(ChainFile.FileName, part);
        Assert.Contains("the end of the archive is missing", report.Misfits[0].What, StringComparison.Ordinal);
    }

    private static TempFolder Record(int count, int shift = 0)
    {
        var data = new TempFolder();
        Grow(data, 0, count, shift);
        return data;
    }

    private static void Grow(TempFolder data, int from, int to, int shift = 0)
    {
        using RunCatalogue catalogue = RunCatalogue.Open(data["thermowatch.sqlite"], Time, Quick);
        catalogue.Audit(new AuditEntry(Sample.Noon, "test", "here", "recorded", $"{from} to {to}", null, null, null));
        using CellJournal journal = CellJournal.Open(data["cells/1/journal"], Sample.Cell, Time,
            Options(seal => catalogue.SaveSeal(new SealedUpTo(1, seal.LastSequence, seal.Hash))), Quick);
        EngineInput[] inputs = [.. Enumerable.Range(from, to - from).Select(EngineInput (i) => Sample.Scan(i + shift))];
        SealingTests.Fill(journal, inputs, every: 15);
        journal.CloseSegment();
        journal.Append(Sample.Scan(to + shift));
        journal.SealClosed();
    }

    private static JournalOptions Options(Action<JournalSeal>? isSealed) => new() { SealInBackground = false, BlockEntries = 12, Sealed = isSealed };

    private static async Task<int> RunAsync(string openssl, TempFolder data)
    {
        using Process process = Process.Start(new ProcessStartInfo(openssl)
        {
            ArgumentList = { "dgst", "-sha256", "-verify", data[NodeKey.PublicFileName], "-signature", data["heads.json.sig"], data["heads.json"] },
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
        await process.WaitForExitAsync();
        return process.ExitCode;
    }
}
