using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Cells;

public sealed class RecoveryTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("recovery").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    [InlineData(64)]
    public async Task Snapshot_of_another_version_costs_time_and_no_reading_and_readings_have_a_budget(int bytes)
    {
        CellDefinition cell = new()
        {
            Number = 1,
            Name = "Cell 1",
            Carriers = ["A"],
            Devices = [new DeviceDefinition("amp", "amplifier", TimeSpan.FromSeconds(0.1), ["p0"])],
            Channels =
            [
                new ChannelDefinition
                {
                    Id = "tc1", Name = "tc1", Role = ChannelRole.Product, Carrier = "A", Device = "amp", Point = "p0",
                    Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
                    TemperatureUncertainty = new() { Letter = 'K', Wire = ToleranceClass.Iec1, HasExtension = false, ResolutionKelvin = 0.1 },
                },
            ],
        };
        Timestamp start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
        using CellJournal journal = CellJournal.Open(Path.Combine(_folder, "journal"), cell, TimeProvider.System);
        journal.Append(new StartRunInput(start, "A", "test"));
        journal.AppendSnapshot(start, new byte[bytes]);
        journal.Append(new ScanInput(new RawScan(0, start.AddSeconds(1), [100], [SignalQuality.Good])));

        using RunCatalogue catalogue = RunCatalogue.Open(Path.Combine(_folder, "catalogue.sqlite"), TimeProvider.System);
        await using var recorder = new RunRecorder(catalogue, 1, TimeProvider.System, NullLogger.Instance);
        var host = new CellHost(
            new CellConfiguration(cell, [], null), journal, recorder, new Viewers(NullLogger.Instance),
            new NodeMode("test", new AnchoredClock(TimeProvider.System), TimeProvider.System), NullLogger.Instance);
        host.Recover();

        // The run began before the snapshot: only the whole record knows of it.
        Assert.Equal(1, Assert.Single(host.State.Runs).Number);
        Assert.Equal(start.AddSeconds(1).ToUnixMilliseconds(), host.State.T);

        // IEC 60584-1 class 1 at 100 °C: 1.5 K, resolution 0.1 K: U = 2 sqrt(1.5²/3 + 0.1²/12).
        BudgetLive budget = host.Budget("tc1")!;
        Assert.Equal((100.0, start.AddSeconds(1).ToUnixMilliseconds()), (budget.Value, budget.T));
        Assert.Equal(2 * Math.Sqrt((2.25 / 3) + (0.01 / 12)), budget.U!.Value, 1e-12);
        Assert.Equal([("thermocouple", "IEC 60584-1"), ("resolution", "as stated")], budget.Lines.Select(line => (line.Name, line.Source)));
        Assert.Contains("attachment not included", budget.NotIncluded);
        Assert.Null(host.Budget("tc9"));
    }
}
