using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Backup;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Archive;
using ThermoWatch.Recording.Tests.Catalogue;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Backup;

public class BackupTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private readonly EngineInput[] _inputs = [.. Enumerable.Range(0, 90).Select(EngineInput (i) => Sample.Scan(i))];

    [Fact]
    public void Backup_taken_while_recording_comes_back_whole()
    {
        using var temp = new TempFolder();
        using (DataFolder data = DataFolder.Open(temp["data"], _time).Folder!)
        using (RunCatalogue catalogue = RunCatalogue.Open(data.CataloguePath, _time))
        using (CellJournal journal = CellJournal.Open(data.JournalPath(1), Sample.Cell, _time, new JournalOptions { SealInBackground = false }))
        {
            catalogue.Save(RunCatalogueTests.Run(7));
            SealingTests.Fill(journal, _inputs, every: 40);
            journal.SealClosed();
            BackupReport backup = RecordBackup.Create(temp["data"], temp["backup"], _time);
            Assert.Null(backup.Problem);
            Assert.Empty(backup.Misfits);
            journal.Append(Sample.Scan(90)); // after it: not in it
        }

        BackupReport restored = RecordBackup.Restore(temp["backup"], temp["new"]);
        Assert.Null(restored.Problem);
        Assert.Empty(restored.Misfits);
        using DataFolder again = DataFolder.Open(temp["new"], _time).Folder!;
        using RunCatalogue runs = RunCatalogue.Open(again.CataloguePath, _time);
        using CellJournal back = CellJournal.Open(again.JournalPath(1), Sample.Cell, _time);
        Assert.Empty(back.Losses);
        Sample.AssertSame(_inputs, back.ReadFrom(1));
        Assert.Equivalent(RunCatalogueTests.Run(7), runs.Find(1, 7), strict: true);
    }

    [Fact]
    public void Changed_backup_is_refused_and_nothing_is_restored()
    {
        using var temp = new TempFolder();
        Record(temp);
        string archive = Directory.GetFiles(temp["backup"], "*.twb", SearchOption.AllDirectories).Single();
        byte[] bytes = File.ReadAllBytes(archive);
        bytes[^50] ^= 1;
        File.WriteAllBytes(archive, bytes);
        Assert.Contains(Path.GetFileName(archive), RecordBackup.Restore(temp["backup"], temp["new"]).Problem, StringComparison.Ordinal);
        Assert.False(Directory.Exists(temp["new"]));
    }

    [Fact]
    public void Nothing_is_written_over()
    {
        using var temp = new TempFolder();
        Record(temp);
        Assert.Contains("not empty", RecordBackup.Create(temp["data"], temp["backup"], _time).Problem, StringComparison.Ordinal);
        Assert.Contains("not empty", RecordBackup.Restore(temp["backup"], temp["data"]).Problem, StringComparison.Ordinal);
        Assert.Contains("no data folder", RecordBackup.Create(temp["absent"], temp["other"], _time).Problem, StringComparison.Ordinal);
        Assert.Contains("no backup", RecordBackup.Restore(temp["absent"], temp["other"]).Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Verification_of_a_folder_names_part_file_and_place()
    {
        using var temp = new TempFolder();
        Record(temp);
        Assert.All(RecordVerification.OfFolder(temp["data"]), part => Assert.True(part.Report.IsWhole));
        string journal = Directory.GetFiles(temp["data"], "*.twj", SearchOption.AllDirectories).Single();
        byte[] bytes = File.ReadAllBytes(journal);
        bytes[^5] ^= 1;
        File.WriteAllBytes(journal, bytes);
        (string part, VerificationReport report) = RecordVerification.OfFolder(temp["data"]).First(part => !part.Report.IsWhole);
        Assert.Equal((Path.Combine("cells", "1", "journal"), Path.GetFileName(journal)), (part, report.Misfits[0].File));
        Assert.True(report.Misfits[0].Offset > 0);
    }

    private void Record(TempFolder temp)
    {
        using DataFolder data = DataFolder.Open(temp["data"], _time).Folder!;
        RunCatalogue.Open(data.CataloguePath, _time).Dispose();
        using CellJournal journal = CellJournal.Open(data.JournalPath(1), Sample.Cell, _time, new JournalOptions { SealInBackground = false });
        SealingTests.Fill(journal, _inputs, every: 50);
        journal.SealClosed();
        Assert.Null(RecordBackup.Create(temp["data"], temp["backup"], _time).Problem);
    }
}
