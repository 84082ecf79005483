using System.Threading.Channels;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Replay;

public sealed class ReplayTests
{
    private static readonly ReplayPoint[] Points = [new() { Id = "p", Column = "chamber" }, new() { Id = "t", Column = "tc1" }];

    [Theory]
    [InlineData("time,tc1\n0,1", "first column")]
    [InlineData("time_s,tc1\n0,1", "no column 'chamber'")]
    [InlineData("time_s,tc1,chamber\n0,1", "line 2")]
    [InlineData("time_s,tc1,chamber\n0,1,2\n1,x,2", "line 3: 'x' is not a number")]
    [InlineData("time_s,tc1,chamber\n0,1,2\n0,1,2", "not later")]
    [InlineData("time_s,tc1,chamber", "no rows")]
    public void A_file_that_cannot_be_read_says_where(string text, string why) =>
        Assert.Contains(why, CurveRows.Parse(text.Split('\n'), [.. Points.Select(p => p.Column)]).Wrong, StringComparison.Ordinal);

    [Fact]
    public async Task A_recording_is_given_at_its_speed_and_its_end_is_told()
    {
        string file = Path.GetTempFileName();
        await File.WriteAllTextAsync(file, "time_s,tc1 [degC] product joint,chamber [mbar]\n0,25,1000\n5,26.5,\n15,27,990\n");
        var queue = Channel.CreateBounded<EngineInput>(1000);
        var options = new ReplayDeviceOptions { Id = "r", Recording = new CurveFile(file), Speed = 100, Points = Points };
        Assert.Empty(Wiring.Validate([options], "devices"));
        var clock = new AnchoredClock(TimeProvider.System);
        Timestamp began = clock.Now;
        var runner = new AcquisitionRunner([options], queue.Writer, clock, TimeProvider.System, 1);
        using var stop = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        Task running = runner.RunAsync(stop.Token);
        List<RawScan> scans = [];
        while (await queue.Reader.ReadAsync(stop.Token) is var input)
        {
            if (input is ScanInput scan) scans.Add(scan.Scan);
            if (input is DeviceStateInput { State: DeviceState.Down } end)
            {
                Assert.Contains("come to its end", end.Reason, StringComparison.Ordinal);
                break;
            }
        }

        await stop.CancelAsync();
        await running;
        Assert.Equal([[1000, 25], [double.NaN, 26.5], [990, 27]], scans.Select(s => s.Values));
        Assert.Equal(SignalQuality.Bad(QualityReason.NoReading), scans[1].Qualities[0]);
        Assert.Equal(150, (scans[2].Time - scans[0].Time).TotalMilliseconds); // 15 s at 100 times the speed, however busy the computer
        Assert.True(scans[0].Time >= began);
    }

    [Fact]
    public async Task A_recording_that_repeats_goes_on_and_its_times_rise()
    {
        string file = Path.GetTempFileName();
        await File.WriteAllTextAsync(file, "time_s,tc1,chamber\n3,1,9\n4,2,9\n5,3,9\n");
        var queue = Channel.CreateBounded<EngineInput>(1000);
        var options = new ReplayDeviceOptions { Id = "r", Recording = new CurveFile(file), Speed = 100, Repeat = true, Points = [Points[1]] };
        using var stop = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        Task running = new AcquisitionRunner([options], queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, 1).RunAsync(stop.Token);
        List<RawScan> scans = [];
        while (scans.Count < 7)
            if (await queue.Reader.ReadAsync(stop.Token) is ScanInput scan) scans.Add(scan.Scan);
        await stop.CancelAsync();
        await running;
        Assert.Equal([1, 2, 3, 1, 2, 3, 1], scans.Select(s => s.Values[0]));
        Assert.All(scans.Zip(scans.Skip(1)), p => Assert.True(p.Second.Time > p.First.Time));
    }
}
