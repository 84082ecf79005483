using System.Globalization;
using System.Text;
using System.Text.Json;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Tests.Situations;
using ThermoWatch.Simulator.Fleet;

namespace ThermoWatch.Service.Tests.Commands;

public sealed class CurveSourceTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("curves");

    public void Dispose() => _folder.Delete(recursive: true);

    private FileInfo Write(string text)
    {
        var file = new FileInfo(Path.Combine(_folder.FullName, "run.csv"));
        File.WriteAllText(file.FullName, text);
        return file;
    }

    [Fact]
    public async Task File_gone_through_block_by_block_is_judged_as_one_that_is_held()
    {
        Spec spec = Played.Sac305(new Limit { Figure = "timeAboveLiquidus", Lower = 40, Upper = 90 }, new Limit { Figure = "vacuumHold", Lower = 10 });
        await FleetFactory.WriteAsync(
            new FleetOptions { Runs = 6, Seed = 4, FaultShare = 0.7, ProductionShare = 0.2 }, _folder.FullName, null, TestContext.Current.CancellationToken);
        foreach (FileInfo file in _folder.GetFiles("run-????.csv"))
        {
            Assert.Equal(Judged(CurveSource.Open(file).Curves!, spec), Judged(CurveSource.Open(file, heldUpTo: 0).Curves!, spec));
        }
    }

    private static string Judged(ICurves curves, Spec spec)
    {
        RecordedRun judged = RecordedRun.Judge(curves, spec, null);
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream))
        {
            Judgement.Write(json, judged.Run, judged.Origin, "test", null);
        }

        return Encoding.UTF8.GetString(stream.ToArray());
    }

    [Fact]
    public void File_that_changes_while_it_is_read_is_not_judged_by_half()
    {
        FileInfo file = Write("time_s,tc1 [degC]\n0,25\n1,26\n");
        ICurves curves = CurveSource.Open(file, heldUpTo: 0).Curves!;
        File.AppendAllText(file.FullName, "2,27\n");
        IOException changed = Assert.Throws<IOException>(() => RecordedRun.Judge(curves, Played.Sac305(), null));
        Assert.Contains("changed while it was read", changed.Message, StringComparison.Ordinal);

        Write("time_s,tc2 [degC]\n0,25\n1,26\n");
        Assert.Throws<IOException>(() => RecordedRun.Judge(curves, Played.Sac305(), null));
    }

    [Fact]
    public void Fault_of_a_large_file_says_its_line()
    {
        var text = new StringBuilder("time_s,tc1 [degC]\n");
        for (int i = 0; i < 100_000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"{i},{(i == 90_000 ? "25,5" : "25.5")}\n");
        }

        (ICurves? curves, string problem) = CurveSource.Open(Write(text.ToString()), heldUpTo: 0);
        Assert.Null(curves);
        Assert.StartsWith("run.csv: line 90002, column 3: ", problem, StringComparison.Ordinal);
        Assert.Contains("Decimal commas", problem, StringComparison.Ordinal);
    }

    // Held as numbers these rows are 7 MB, and as much again as text.
    [Fact]
    public void Looking_over_a_large_file_keeps_none_of_it()
    {
        var text = new StringBuilder("time_s,tc1 [degC],p [mbar]\n");
        for (int i = 0; i < 300_000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"{i / 10.0},25.25,1005.5\n");
        }

        FileInfo file = Write(text.ToString());
        text.Clear();
        long before = GC.GetAllocatedBytesForCurrentThread();
        Assert.Equal(300_000, CurveSource.Open(file, heldUpTo: 0).Curves!.Survey.Rows);
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 3_000_000);
    }
}
