using System.Globalization;
using System.Net;
using System.Net.Sockets;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator;

/// <summary>How a run of the simulated machine on the wire ended.</summary>
/// <param name="Started">Whether it came to listen at all.</param>
/// <param name="Problem">Why not, as one sentence for the operator.</param>
public sealed record SimulatorOutcome(bool Started, string? Problem);

/// <summary>The simulated machine alone, on the wire, until it is told to stop.</summary>
public static class SimulatorHost
{
    private static readonly TimeSpan Heartbeat = TimeSpan.FromMilliseconds(100);

    /// <summary>Serves a machine on the loopback address.</summary>
    /// <param name="options">What to simulate.</param>
    /// <param name="port">TCP port; 0 takes a free one.</param>
    /// <param name="speed">Seconds of machine time in a second.</param>
    /// <param name="startAt">Machine time at which it is first seen.</param>
    /// <param name="output">Gets one line with the address once it listens.</param>
    /// <param name="truthPath">File for what really is at 10 Hz of machine time, or null.</param>
    /// <param name="time">The clock.</param>
    /// <param name="stop">Ends it.</param>
    public static async Task<SimulatorOutcome> RunAsync(
        SimulatorOptions options, int port, double speed, TimeSpan startAt, TextWriter output, string? truthPath, TimeProvider time, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(output);
        ArgumentNullException.ThrowIfNull(time);
        var cell = new SimulatedCell(options);
        cell.AdvanceTo(startAt);
        TruthFile? truth = null;
        try
        {
            truth = truthPath is null ? null : new TruthFile(truthPath);
            var live = new LiveCell(cell, time, speed);
            live.Sampled = truth is null ? null : c => truth.Write(live.UtcAt(c.MachineTime), c.Truth);
            await using var face = ModbusTcpFace.Start(new CellRegisters(live), new IPEndPoint(IPAddress.Loopback, port));
            await output.WriteLineAsync($"listening on {face.Endpoint}");
            await output.FlushAsync(stop);
            await BeatAsync(live, time, stop);
            return new(true, null);
        }
        catch (SocketException e)
        {
            return new(false, string.Create(CultureInfo.InvariantCulture, $"Port {port} cannot be listened on ({e.SocketErrorCode}). Choose another with --port, or leave it out for a free one."));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new(false, $"The truth file cannot be written: {e.Message} Choose another path with --truth.");
        }
        finally
        {
            truth?.Dispose();
        }
    }

    // Keeps the machine living, and its truth being written, while nobody asks.
    private static async Task BeatAsync(LiveCell live, TimeProvider time, CancellationToken stop)
    {
        using var timer = new PeriodicTimer(Heartbeat, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stop))
            {
                live.Look(static c => c.MachineTime);
            }
        }
        catch (OperationCanceledException)
        {
            // Told to stop: the way this is meant to end.
        }
    }
}
