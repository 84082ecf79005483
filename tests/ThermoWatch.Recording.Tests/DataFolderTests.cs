using System.Diagnostics;
using Microsoft.Extensions.Time.Testing;

namespace ThermoWatch.Recording.Tests;

public class DataFolderTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    [Fact]
    public void Second_service_is_refused_and_told_who_holds_the_folder()
    {
        using var temp = new TempFolder();
        using DataFolder first = DataFolder.Open(temp["data"], _time).Folder!;
        DataFolderOpening second = DataFolder.Open(temp["data"], TimeProvider.System);
        Assert.Null(second.Folder);
        Assert.Equal(new DataFolderHolder(Environment.ProcessId, _time.GetUtcNow()), second.Holder);
        Assert.Contains($"process {Environment.ProcessId}", second.Problem, StringComparison.Ordinal);
        Assert.Contains("2026-03-02 12:00:00Z", second.Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Folder_can_be_taken_after_a_clean_end()
    {
        using var temp = new TempFolder();
        DataFolder.Open(temp["data"], _time).Folder!.Dispose();
        using DataFolder again = DataFolder.Open(temp["data"], _time).Folder!;
        Assert.Null(again.Predecessor);
    }

    [Fact]
    public void Folder_of_a_dead_process_is_taken_over()
    {
        using var temp = new TempFolder();
        using (Process gone = Process.Start("true"))
        {
            gone.WaitForExit();
            File.WriteAllText(temp["service.json"], $$"""{"processId":{{gone.Id}},"started":"2026-03-01T08:00:00+00:00"}""");
            File.WriteAllText(temp["lock"], "");
            using DataFolder folder = DataFolder.Open(temp.Path, _time).Folder!;
            Assert.Equal(gone.Id, folder.Predecessor?.ProcessId);
        }
    }

    [Fact]
    public void Path_that_is_a_file_is_refused_with_a_reason()
    {
        using var temp = new TempFolder();
        File.WriteAllText(temp["data"], "");
        DataFolderOpening opening = DataFolder.Open(temp["data"], _time);
        Assert.Null(opening.Folder);
        Assert.Contains("cannot be used", opening.Problem, StringComparison.Ordinal);
    }
}
