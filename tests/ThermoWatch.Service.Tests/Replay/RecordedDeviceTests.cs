using System.Security.Cryptography;
using System.Threading.Channels;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Replay;

namespace ThermoWatch.Service.Tests.Replay;

/// <summary>What one service recorded, given by another as if it came over a wire.</summary>
public sealed class RecordedDeviceTests : IDisposable
{
    private static readonly Timestamp Noon = Timestamp.From(new(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private static readonly TimeSpan Period = TimeSpan.FromMilliseconds(100);

    private static readonly CellDefinition Cell = new()
    {
        Number = 3,
        Name = "Cell 3",
        Carriers = ["A"],
        Devices = [new("gauge", "Gauge", Period, ["p"]), new("amplifier", "Amplifier", Period, ["tc1", "tc2"])],
        Channels = [],
    };

    private readonly string _folder = Directory.CreateTempSubdirectory("record").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Rows_are_the_recorded_ones_bit_for_bit_over_archive_and_open_file_and_nothing_is_changed()
    {
        using CellJournal journal = Record(scans: 300, closeAfter: 200);
        Dictionary<string, string> before = Hashes();
        RecordingOpening opening = Device().Open(["tc2", "tc1"]);
        RecordedRow[] rows = [.. opening.Rows!];
        Assert.Equal(300, rows.Length);
        Assert.Equal(Enumerable.Range(0, 300).Select(Interval), rows.Select(r => r.Seconds));
        for (int i = 0; i < rows.Length; i++)
        {
            RawScan scan = Scan(i);
            Assert.Equal([BitConverter.DoubleToInt64Bits(scan.Values[1]), BitConverter.DoubleToInt64Bits(scan.Values[0])], rows[i].Values.Select(BitConverter.DoubleToInt64Bits));
            Assert.Equal([scan.Qualities[1], scan.Qualities[0]], rows[i].Qualities);
        }

        Assert.Equal(before, Hashes());
        Assert.Contains(before.Keys, f => f.EndsWith(".twb", StringComparison.Ordinal)); // both kinds of file were read
    }

    [Fact]
    public void A_span_of_time_can_be_cut_out()
    {
        using CellJournal journal = Record(scans: 100, closeAfter: 50);
        RecordingOpening opening = (Device() with { From = Noon + (40 * Period), To = Noon + (59 * Period) }).Open(["tc1"]);
        RecordedRow[] rows = [.. opening.Rows!];
        Assert.InRange(rows.Length, 19, 20); // times wander by a millisecond
        Assert.Equal(0, rows[0].Seconds);
    }

    [Fact]
    public async Task A_record_runs_as_a_device_at_any_speed_with_the_intervals_of_then()
    {
        const double Speed = 20;
        using CellJournal journal = Record(scans: 60, closeAfter: 30);
        var options = new ReplayDeviceOptions { Id = "again", Recording = Device(), Speed = Speed, Points = [new() { Id = "t", Column = "tc1" }] };
        var queue = Channel.CreateBounded<EngineInput>(1000);
        using var stop = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        Task running = new AcquisitionRunner([options], queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, 1).RunAsync(stop.Token);
        List<RawScan> scans = [];
        while (await queue.Reader.ReadAsync(stop.Token) is not DeviceStateInput { State: DeviceState.Down } and var input)
        {
            if (input is ScanInput { Scan: var scan })
            {
                scans.Add(scan);
            }
        }

        await stop.CancelAsync();
        await running;
        Assert.Equal(Enumerable.Range(0, 60).Select(i => Scan(i).Values[0]), scans.Select(s => s.Values[0]));
        Assert.Equal(Enumerable.Range(0, 60).Select(i => Scan(i).Qualities[0]), scans.Select(s => s.Qualities[0]));

        // On a busy machine a row can come late and then says so by its time; never early, and the rows after it are due as before.
        double[] late = [.. scans.Select((s, i) => (s.Time - scans[0].Time).TotalSeconds - (Interval(i) / Speed))];
        Assert.All(late, l => Assert.True(l > -1e-6, $"{l} s early"));
        Assert.True(late.Count(l => l < 1e-6) > scans.Count / 2, $"late by {string.Join(' ', late)} s");
    }

    [Theory]
    [InlineData(4, "amplifier", "tc1", "no record of cell 4")]
    [InlineData(3, "amp", "tc1", "Use one of: gauge, amplifier")]
    [InlineData(3, "amplifier", "tc9", "Use one of: tc1, tc2")]
    public void What_is_not_in_the_record_is_named(int cell, string device, string point, string why)
    {
        Record(scans: 3, closeAfter: 1).Dispose();
        ReplayDeviceOptions options = new() { Id = "again", Recording = Device() with { Cell = cell, Device = device }, Points = [new() { Id = "t", Column = point }] };
        ProbeReport report = Probe.Run(options, TimeProvider.System, 1, default);
        Assert.False(report.Reached);
        Assert.Contains(why, Assert.Single(report.Findings), StringComparison.Ordinal);
    }

    [Fact]
    public void A_probe_shows_the_first_row()
    {
        Record(scans: 3, closeAfter: 1).Dispose();
        ReplayDeviceOptions options = new() { Id = "again", Recording = Device(), Points = [new() { Id = "t", Column = "tc2" }] };
        ProbeReport report = Probe.Run(options, TimeProvider.System, 1, default);
        Assert.Equal((true, Scan(0).Values[1]), (report.Reached, report.Points[0].Value!.Value));
    }

    private static double Interval(int i) => (Time(i) - Time(0)).TotalSeconds;

    private static Timestamp Time(int i) => Noon + (i * Period) + TimeSpan.FromMicroseconds((i * 37) % 900); // no line is exact

    private static RawScan Scan(int i) => i % 17 == 5
        ? new(1, Time(i), [double.NaN, 0.1 * i], [SignalQuality.Bad(QualityReason.OpenCircuit), SignalQuality.Good])
        : new(1, Time(i), [Math.Sqrt(i), 0.1 * i], [SignalQuality.Good, SignalQuality.Good]);

    private RecordedDevice Device() => new(_folder, 3, "amplifier", null, null);

    private CellJournal Record(int scans, int closeAfter)
    {
        CellJournal journal = CellJournal.Open(
            DataFolder.JournalPathIn(_folder, 3), Cell, TimeProvider.System, new JournalOptions { SealInBackground = false });
        for (int i = 0; i < scans; i++)
        {
            journal.Append(new ScanInput(Scan(i)));
            journal.Append(new ScanInput(new RawScan(0, Time(i), [1013.25], [SignalQuality.Good])));
            if (i == closeAfter)
            {
                journal.CloseSegment();
            }
        }

        journal.SealClosed();
        return journal;
    }

    private Dictionary<string, string> Hashes() => Directory.EnumerateFiles(_folder, "*", SearchOption.AllDirectories).ToDictionary(f => f, f =>
    {
        using FileStream file = new(f, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        return Convert.ToHexString(SHA256.HashData(file));
    });
}
