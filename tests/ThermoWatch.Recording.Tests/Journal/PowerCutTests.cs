using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Tests;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>The process whose power is cut: it records, seals and keeps a trail, and says what it was told will last.</summary>
internal static class SyncedWriter
{
    public const string Argument = "--synced-writer";

    public static int Run(string data, int seed)
    {
        using RunCatalogue catalogue = RunCatalogue.Open(Path.Combine(data, "thermowatch.sqlite"), TimeProvider.System);
        using CellJournal journal = CellJournal.Open(Path.Combine(data, "cells", "1", "journal"), Sample.Cell, TimeProvider.System,
            new JournalOptions { SegmentBytes = 60_000, Sealed = seal => catalogue.SaveSeal(new SealedUpTo(1, seal.LastSequence, seal.Hash)) });
        var random = new Random(seed);
        using Stream output = Console.OpenStandardOutput();
        var acknowledgement = new byte[16];
        long audits = 0, synced = 0;
        while (true)
        {
            for (int count = random.Next(1, 200); count > 0; count--)
            {
                journal.Append(Sample.Scan((int)journal.LastSequence));
            }

            if (random.Next(3) == 0)
            {
                catalogue.Audit(new AuditEntry(Sample.Noon, "writer", "test", "counted", "audit", null, (++audits).ToString(CultureInfo.InvariantCulture), null));
            }
            else
            {
                long last = journal.LastSequence;
                synced = journal.SyncAsync().GetAwaiter().GetResult() ? last : synced;
            }

            BitConverter.TryWriteBytes(acknowledgement, synced);
            BitConverter.TryWriteBytes(acknowledgement.AsSpan(8), audits);
            output.Write(acknowledgement);
        }
    }
}

/// <summary>
/// Power cuts. Killing a process proves nothing here, as the page cache outlives it: the writer is stopped, and the disk's image is
/// copied from under it, with only what the kernel had been made to write. Needs root for the loop device.
/// </summary>
public sealed class PowerCutTests : IDisposable
{
    private const int Cuts = 3;

    private readonly TempFolder _folder = new();
    private readonly List<string> _mounted = [];

    public void Dispose()
    {
        foreach (string mount in _mounted)
        {
            Run("umount", mount).GetAwaiter().GetResult();
        }

        _folder.Dispose();
    }

    [Fact]
    public async Task Nothing_that_was_said_to_last_is_lost_when_the_power_is_cut()
    {
        Peers.Need(OperatingSystem.IsLinux() && Environment.UserName == "root", "loop devices need root");
        string make = Peers.Program("mkfs.ext4", "e2fsprogs");
        string image = _folder["disk.img"];
        await using (FileStream disk = File.Create(image))
        {
            disk.SetLength(96L << 20);
        }

        await Run(make, "-q", image);
        string mount = await MountAsync(image, "disk");
        string data = Path.Combine(mount, "data");
        Directory.CreateDirectory(Path.Combine(data, "cells", "1", "journal"));
        await Run("sync", mount);
        var random = new Random(20260302);
        for (int cut = 0; cut < Cuts; cut++)
        {
            (long synced, long audits, string copy) = await RecordAndCutAsync(data, image, cut, random.Next(20, 120));
            Assert.True(synced > 0 && audits > 0);
            string after = await MountAsync(copy, $"copy-{cut}");
            Check(Path.Combine(after, "data"), synced, audits);
        }
    }

    private static void Check(string data, long synced, long audits)
    {
        using (RunCatalogue catalogue = RunCatalogue.Open(Path.Combine(data, "thermowatch.sqlite"), TimeProvider.System))
        {
            long[] found = [.. catalogue.LatestAudit(int.MaxValue).Select(entry => long.Parse(entry.After!, CultureInfo.InvariantCulture)).Reverse()];
            Assert.True(found.Length >= audits, $"{audits} audit entries were said to last, {found.Length} are there");
        }

        using (CellJournal journal = CellJournal.Open(Path.Combine(data, "cells", "1", "journal"), Sample.Cell, TimeProvider.System, new JournalOptions { SealInBackground = false }))
        {
            long next = 1;
            foreach (JournalEntry entry in journal.ReadFrom(1))
            {
                Assert.Equal(next, entry.Sequence);
                Sample.AssertSame(Sample.Scan((int)next - 1), Assert.IsType<InputEntry>(entry).Input);
                next++;
            }

            Assert.True(next > synced, $"{synced} entries were said to last, {next - 1} are there");
            Assert.NotEqual(0, journal.Append(Sample.Scan((int)next - 1)));
            journal.SealClosed();
        }

        Assert.All(RecordVerification.OfFolder(data), part => Assert.Empty(part.Report.Misfits));
    }

    private async Task<(long Synced, long Audits, string Copy)> RecordAndCutAsync(string data, string image, int seed, int acknowledgements)
    {
        using Process writer = Process.Start(new ProcessStartInfo(Environment.ProcessPath!)
        {
            ArgumentList = { SyncedWriter.Argument, data, seed.ToString(CultureInfo.InvariantCulture) },
            RedirectStandardOutput = true,
        })!;
        Stream output = writer.StandardOutput.BaseStream;
        var received = new byte[16];
        for (int i = 0; i < acknowledgements; i++)
        {
            await output.ReadExactlyAsync(received).AsTask().WaitAsync(TimeSpan.FromSeconds(60));
        }

        // What it says between here and the stop is not counted: it may not have been read before the copy was made.
        (long synced, long audits) = (BitConverter.ToInt64(received), BitConverter.ToInt64(received, 8));
        await Run("kill", "-STOP", writer.Id.ToString(CultureInfo.InvariantCulture));
        string copy = _folder[$"copy-{seed}.img"];
        File.Copy(image, copy);
        writer.Kill();
        await output.CopyToAsync(Stream.Null);
        await writer.WaitForExitAsync();
        return (synced, audits, copy);
    }

    private async Task<string> MountAsync(string image, string name)
    {
        string mount = _folder[name];
        Directory.CreateDirectory(mount);
        int code = await Run("mount", "-o", "loop", image, mount);
        Peers.Need(code == 0, "this machine cannot mount an image");
        _mounted.Add(mount);
        return mount;
    }

    internal static async Task<int> Run(string program, params string[] arguments)
    {
        using Process process = Process.Start(new ProcessStartInfo(program, arguments))!;
        await process.WaitForExitAsync();
        return process.ExitCode;
    }
}
