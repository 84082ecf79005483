using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Tests;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>A disk that is really full: a file system of two megabytes. Needs root to mount it.</summary>
public sealed class SmallDiskTests : IDisposable
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private readonly TempFolder _folder = new();
    private bool _isMounted;

    public void Dispose()
    {
        if (_isMounted)
        {
            PowerCutTests.Run("umount", _folder["disk"]).GetAwaiter().GetResult();
        }

        _folder.Dispose();
    }

    [Fact]
    public async Task Full_disk_harms_nothing_recorded_and_recording_goes_on_by_itself_when_there_is_room()
    {
        Peers.Need(OperatingSystem.IsLinux() && Environment.UserName == "root", "mounting a file system needs root");
        Directory.CreateDirectory(_folder["disk"]);
        _isMounted = await PowerCutTests.Run("mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", _folder["disk"]) == 0;
        Peers.Need(_isMounted, "this machine cannot mount a tmpfs");
        string ballast = Path.Combine(_folder["disk"], "ballast"), journalFolder = Path.Combine(_folder["disk"], "journal");
        await File.WriteAllBytesAsync(ballast, new byte[1 << 20]);
        var options = new JournalOptions { SealInBackground = false, SegmentBytes = 100_000, BlockEntries = 1000 };
        List<EngineInput> inputs = [];
        using (CellJournal journal = CellJournal.Open(journalFolder, Sample.Cell, _time, options))
        {
            Append(journal, inputs, until: () => journal.Health.State == JournalState.Waiting);
            Assert.NotEqual("", journal.Health.Reason);
            long onDisk = journal.LastSequence;
            int sealedNow = journal.SealClosed(); // there is hardly room for it, and it may refuse; nothing may be lost by trying
            Append(journal, inputs, count: 5000); // watching goes on: numbers are given, and the newest wait in memory
            Assert.Equal(inputs.Count, onDisk + journal.Health.WaitingEntries);
            Sample.AssertSame(inputs.Take((int)onDisk), journal.ReadFrom(1));
            Assert.True(sealedNow > 0 || journal.SealProblem is not null);

            File.Delete(ballast);
            _time.Advance(TimeSpan.FromSeconds(2));
            Append(journal, inputs, count: 1);
            Assert.Equal(new JournalHealth(JournalState.Recording, "", null, 0, 0), journal.Health);
            Sample.AssertSame(inputs, journal.ReadFrom(1));
            journal.SealClosed();
            Assert.Null(journal.SealProblem);
            Sample.AssertSame(inputs, journal.ReadFrom(1));
        }

        using CellJournal again = CellJournal.Open(journalFolder, Sample.Cell, _time, options);
        Assert.Empty(again.Losses);
        Sample.AssertSame(inputs, again.ReadFrom(1));
        Assert.Empty(RecordVerification.OfJournal(journalFolder).Misfits);
    }

    private void Append(CellJournal journal, List<EngineInput> inputs, int count = int.MaxValue, Func<bool>? until = null)
    {
        for (; count > 0 && until?.Invoke() != true; count--)
        {
            EngineInput input = Sample.Scan(inputs.Count);
            Assert.Equal(inputs.Count + 1, journal.Append(input));
            inputs.Add(input);
        }
    }
}
