using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Tests.Rejudging;

namespace ThermoWatch.Service.Tests.Cells;

/// <summary>What is usual is learnt from good runs of one product, and said of that product alone.</summary>
public sealed class UsualRunTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("usual");

    public void Dispose() => _folder.Delete(recursive: true);

    private static RunRow Run(long number, string? spec, double seconds, Verdict? verdict = Verdict.Pass)
    {
        Timestamp start = SimulatedRecord.Born.AddSeconds(1000 * number);
        return new RunRow
        {
            Cell = 1,
            Number = number,
            Carrier = "A",
            Start = start,
            End = start.AddSeconds(seconds),
            FirstSequence = number,
            SpecName = spec,
            SpecVersion = spec is null ? null : 1,
            Verdict = verdict,
            Phases = [new PhaseSpan(PhaseTrack.Thermal, "soak", start, start.AddSeconds(seconds / 4))],
            Figures = [new FigureResult { Figure = "soakTime", Unit = "s", Value = seconds / 4, Upper = 500 }],
        };
    }

    [Fact]
    public async Task Runs_of_another_product_and_runs_that_failed_change_nothing_of_it()
    {
        using RunCatalogue catalogue = RunCatalogue.Open(Path.Combine(_folder.FullName, "catalogue.db"), TimeProvider.System);
        long number = 0;
        foreach (double seconds in (double[])[300, 304, 308])
        {
            catalogue.Save(Run(++number, "Traction", seconds));
            catalogue.Save(Run(++number, "Gate", seconds / 2));
            catalogue.Save(Run(++number, "Gate", 900, Verdict.Fail));
            catalogue.Save(Run(++number, null, 700, Verdict.Undetermined));
        }

        await using var recorder = new RunRecorder(catalogue, 1, TimeProvider.System, NullLogger.Instance);
        UsualRun traction = recorder.UsualOf("Traction");
        Assert.Equal((304, 76), (traction.CycleSeconds!.Value, Assert.Single(traction.Phases).DurationSeconds));
        Assert.Equal(76, traction.Of(Run(1, "Traction", 100).Figures[0]));
        UsualRun gate = recorder.UsualOf("Gate");
        Assert.Equal((152, 38), (gate.CycleSeconds!.Value, Assert.Single(gate.Phases).DurationSeconds));
        Assert.Null(recorder.UsualOf("Never soldered").CycleSeconds);
        Assert.Null(recorder.UsualOf(null).CycleSeconds);
    }
}
