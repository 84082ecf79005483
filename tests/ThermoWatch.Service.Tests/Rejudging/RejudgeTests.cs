using System.CommandLine;
using System.Diagnostics;
using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Commands.Recalibrate;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Tests.Rejudging;

public sealed class RejudgeTests : IClassFixture<RejudgeTests.Record>, IDisposable
{
    private const int Runs = 12;
    private readonly Record _record;
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("rejudge");

    public RejudgeTests(Record record) => _record = record;

    public void Dispose() => _folder.Delete(recursive: true);

    public sealed class Record : IAsyncLifetime
    {
        public string Path { get; } = Directory.CreateTempSubdirectory("rejudge-record").FullName;

        public async ValueTask InitializeAsync() => await SimulatedRecord.MakeAsync(Path, Runs);

        public ValueTask DisposeAsync()
        {
            Directory.Delete(Path, recursive: true);
            return ValueTask.CompletedTask;
        }
    }

    [Fact]
    public void By_the_same_rules_every_figure_comes_out_as_it_stands_in_the_record()
    {
        using OpenRecord record = Open();
        Assert.All(new RejudgeWork(record.Source, new RejudgeOrder()).Run(2, default), run =>
        {
            Assert.Null(run.Problem);
            Assert.Empty(run.Changed);
            Assert.Equal(run.Before, run.After);
            Assert.Equal(0, run.Moved);
        });
    }

    private OpenRecord Open() => OpenRecord.Of(_record.Path, 1, TimeProvider.System, TextWriter.Null, out _, out _)!;
}
