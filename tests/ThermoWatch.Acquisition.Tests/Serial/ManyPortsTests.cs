using System.Diagnostics;
using System.Runtime.Versioning;
using System.Threading.Channels;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Tests.Peers;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition.Tests.Serial;

/// <summary>A cabinet full of adapters.</summary>
[SupportedOSPlatform("linux")]
[Collection(LongRuns.Alone)]
public sealed class ManyPortsTests
{
    private const int Ports = 16;

    [Fact]
    public async Task Sixteen_ports_read_ten_times_a_second_cost_little()
    {
        string program = PeerProcess.Compile("libmodbus_slave.c", "modbus");
        List<PtyPair> lines = [];
        List<PeerProcess> slaves = [];
        try
        {
            for (int i = 0; i < Ports; i++)
            {
                lines.Add(PtyPair.Create());
                slaves.Add(PeerProcess.Start(program, "rtu", lines[i].Theirs, "115200"));
            }

            ModbusPoint[] points = [.. Enumerable.Range(0, 8).Select(i => new ModbusPoint { Id = $"p{i}", Address = i })];
            var queue = Channel.CreateBounded<EngineInput>(1_000_000);
            var runner = new AcquisitionRunner(
                [.. lines.Select((line, i) => new ModbusRtuDeviceOptions
                {
                    Id = $"d{i}", Serial = new() { Port = line.Ours, Baud = 115200 }, Points = points, Period = TimeSpan.FromMilliseconds(100), Timeout = TimeSpan.FromMilliseconds(400),
                })],
                queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, 1);
            using var stop = new CancellationTokenSource();
            Task running = runner.RunAsync(stop.Token);
            while (runner.Statistics.Any(s => s.State != DeviceState.Up)) await queue.Reader.WaitToReadAsync(new CancellationTokenSource(TimeSpan.FromSeconds(60)).Token);

            using var process = Process.GetCurrentProcess();
            (TimeSpan cpu, long bytes, long polls, long began) = (process.TotalProcessorTime, GC.GetTotalAllocatedBytes(), Polls(runner), Stopwatch.GetTimestamp());
            await Task.Delay(TimeSpan.FromSeconds(3 * LongRuns.Twentieths));
            process.Refresh();
            TimeSpan wall = Stopwatch.GetElapsedTime(began);
            double share = (process.TotalProcessorTime - cpu) / wall;
            long done = Polls(runner) - polls;
            LongRuns.Tell($"{Ports} ports, {done / wall.TotalSeconds:0.0} polls/s in {wall.TotalSeconds:0} s: {100 * share:0.0} % of one core, {(GC.GetTotalAllocatedBytes() - bytes) / done} B a poll; {runner.Statistics.Sum(s => s.Missed)} missed, {runner.Statistics.Sum(s => s.Late)} late");
            await stop.CancelAsync();
            await running;

            // In the few seconds of a build the runtime still compiles what the tests before this one have used.
            double most = LongRuns.Twentieths > 1 ? 0.15 : 0.5;
            Assert.True(share <= most, $"{100 * share:0.0} % of one core");
            Assert.InRange(done / wall.TotalSeconds, 0.5 * Ports * 10, 1.01 * Ports * 10); // a busy computer is late, and says so above
        }
        finally
        {
            slaves.ForEach(s => s.Dispose());
            lines.ForEach(l => l.Dispose());
        }
    }

    private static long Polls(AcquisitionRunner runner) => runner.Statistics.Sum(s => s.Polls);
}
