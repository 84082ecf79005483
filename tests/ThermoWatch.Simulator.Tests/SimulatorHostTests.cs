using System.Net;
using System.Net.Sockets;
using System.Threading.Channels;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Tests;

public class SimulatorHostTests
{
    private static readonly Scenario Normal = ScenarioLibrary.Find("normal")!;

    [Fact]
    public async Task Truth_is_written_ten_times_a_second_of_machine_time_up_to_the_end()
    {
        string path = Path.GetTempFileName();
        try
        {
            var time = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));
            using var stop = new CancellationTokenSource();
            var output = new Lines();
            Task<SimulatorOutcome> running = SimulatorHost.RunAsync(
                new SimulatorOptions(), Normal, new WireOptions { StartAt = TimeSpan.FromSeconds(100), Speed = 2, TruthPath = path }, output, time, stop.Token);
            Assert.StartsWith("listening on 127.0.0.1:", await output.NextAsync(), StringComparison.Ordinal);
            time.Advance(TimeSpan.FromSeconds(3));
            await stop.CancelAsync();
            Assert.Equal(new SimulatorOutcome(true, null), await running);
            string[] rows = await File.ReadAllLinesAsync(path, TestContext.Current.CancellationToken);
            Assert.Equal(1 + 60, rows.Length);
            Assert.StartsWith("2026-03-02T06:00:00.0500000Z,", rows[1], StringComparison.Ordinal);
            Assert.StartsWith("2026-03-02T06:00:03.0000000Z,", rows[60], StringComparison.Ordinal);
        }
        finally
        {
            File.Delete(path);
        }
    }

    [Fact]
    public async Task Several_machines_have_addresses_of_their_own_and_seeds_of_their_own()
    {
        using var stop = new CancellationTokenSource();
        var output = new Lines();
        Task<SimulatorOutcome> running = SimulatorHost.RunAsync(
            new SimulatorOptions(), Normal, new WireOptions { Cells = 2, StartAt = TimeSpan.FromSeconds(60) }, output, new FakeTimeProvider(), stop.Token);
        byte[][] frames = [await ReadAsync(await output.NextAsync()), await ReadAsync(await output.NextAsync())];
        Assert.Equal(9 + 48, frames[0].Length);
        Assert.NotEqual(frames[0], frames[1]);
        await stop.CancelAsync();
        await running;
    }

    [Fact]
    public async Task Port_in_use_is_said_with_what_to_do()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        int port = ((IPEndPoint)taken.LocalEndpoint).Port;
        SimulatorOutcome outcome = await SimulatorHost.RunAsync(
            new SimulatorOptions(), Normal, new WireOptions { Port = port }, TextWriter.Null, TimeProvider.System, TestContext.Current.CancellationToken);
        Assert.Contains("--port", outcome.Problem, StringComparison.Ordinal);
        Assert.False(outcome.Started);
    }

    private static async Task<byte[]> ReadAsync(string listening)
    {
        using var client = new TcpClient();
        await client.ConnectAsync(IPEndPoint.Parse(listening.Split(' ')[^1]));
        await client.GetStream().WriteAsync(new byte[] { 0, 1, 0, 0, 0, 6, 1, 4, 0, 0, 0, 24 });
        byte[] answer = new byte[9 + 48];
        await client.GetStream().ReadExactlyAsync(answer);
        return answer;
    }

    /// <summary>Lines as they are written.</summary>
    private sealed class Lines : StringWriter
    {
        private readonly Channel<string> _lines = Channel.CreateUnbounded<string>();

        public override Task WriteLineAsync(string? value)
        {
            _lines.Writer.TryWrite(value!);
            return Task.CompletedTask;
        }

        public async Task<string> NextAsync() => await _lines.Reader.ReadAsync(new CancellationTokenSource(TimeSpan.FromSeconds(10)).Token);
    }
}
