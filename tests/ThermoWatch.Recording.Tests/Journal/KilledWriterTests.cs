using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>The process that is killed: it appends as fast as it can and says what it has appended.</summary>
internal static class KilledWriter
{
    public const string Argument = "--journal-writer";

    public static int Run(string folder, int seed)
    {
        using CellJournal journal = CellJournal.Open(folder, Sample.Cell, TimeProvider.System, new JournalOptions { SegmentBytes = 200_000 });
        var random = new Random(seed);
        using Stream output = Console.OpenStandardOutput();
        Span<byte> acknowledgement = stackalloc byte[8];
        while (true)
        {
            long last = journal.LastSequence;
            for (int count = random.Next(1, 20); count > 0; count--)
            {
                last = journal.Append(Sample.Scan((int)last));
            }

            BitConverter.TryWriteBytes(acknowledgement, last);
            output.Write(acknowledgement);
        }
    }
}

public class KilledWriterTests
{
    // More with THERMOWATCH_KILLS (25 on the build server, 500 by hand before a release).
    private static readonly int Kills = int.Parse(Environment.GetEnvironmentVariable("THERMOWATCH_KILLS") ?? "5", CultureInfo.InvariantCulture);

    private static readonly int Seed = int.Parse(Environment.GetEnvironmentVariable("THERMOWATCH_KILLS_SEED") ?? "20260302", CultureInfo.InvariantCulture);

    [Fact]
    public async Task Whatever_was_acknowledged_before_a_kill_is_there_in_order_and_once()
    {
        using var folder = new TempFolder();
        var random = new Random(Seed);
        long whole = 0; // up to here everything has been found right once; a little of it is looked at again
        for (int kill = 0; kill < Kills; kill++)
        {
            long acknowledged = await RunAndKill(folder.Path, kill, random.Next(1, 400));
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, TimeProvider.System);
            bool isLast = kill == Kills - 1;
            long next = isLast ? 1 : Math.Max(1, whole - 1000);
            foreach (JournalEntry entry in journal.ReadFrom(next))
            {
                Assert.Equal(next, entry.Sequence);
                Sample.AssertSame(Sample.Scan((int)next - 1), Assert.IsType<InputEntry>(entry).Input);
                next++;
            }

            Assert.True(next > acknowledged, $"{acknowledged} was acknowledged, {next - 1} is there");
            Assert.True(acknowledged > whole);
            whole = next - 1;
        }

        Assert.Empty(RecordVerification.OfJournal(folder.Path).Misfits);
    }

    private static async Task<long> RunAndKill(string folder, int seed, int afterAcknowledgements)
    {
        using Process writer = Process.Start(new ProcessStartInfo(Environment.ProcessPath!)
        {
            ArgumentList = { KilledWriter.Argument, folder, seed.ToString(CultureInfo.InvariantCulture) },
            RedirectStandardOutput = true,
        })!;
        Stream output = writer.StandardOutput.BaseStream;
        var received = new byte[8];
        long acknowledged = 0;
        for (int i = 0; i < afterAcknowledgements; i++)
        {
            await output.ReadExactlyAsync(received).AsTask().WaitAsync(TimeSpan.FromSeconds(30));
            acknowledged = BitConverter.ToInt64(received);
        }

        writer.Kill(); // SIGKILL, in the middle of whatever it does
        while (await output.ReadAtLeastAsync(received, 8, throwOnEndOfStream: false) == 8)
        {
            acknowledged = BitConverter.ToInt64(received); // said before it died
        }

        await writer.WaitForExitAsync();
        return acknowledged;
    }
}
