using System.Globalization;
using System.Net;
using System.Net.Sockets;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator;

/// <summary>How a run of simulated machines on the wire ended.</summary>
/// <param name="Started">Whether they came to listen at all.</param>
/// <param name="Problem">Why not, as one sentence for the operator.</param>
public sealed record SimulatorOutcome(bool Started, string? Problem);

/// <summary>Simulated machines alone, on the wire, until they are told to stop.</summary>
public static class SimulatorHost
{
    private static readonly TimeSpan Heartbeat = TimeSpan.FromMilliseconds(100);

    /// <summary>Serves machines until told to stop.</summary>
    /// <param name="options">What to simulate.</param>
    /// <param name="scenario">What to play; the name in the options is not used.</param>
    /// <param name="host">How.</param>
    /// <param name="output">Gets a line <c>listening on ...</c> for each machine.</param>
    /// <param name="time">The clock.</param>
    /// <param name="stop">Ends it.</param>
    public static async Task<SimulatorOutcome> RunAsync(
        SimulatorOptions options, Scenario scenario, WireOptions host, TextWriter output, TimeProvider time, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(host);
        ArgumentNullException.ThrowIfNull(output);
        ArgumentNullException.ThrowIfNull(time);
        List<LiveCell> cells = [];
        List<IAsyncDisposable> faces = [];
        TruthFile? truth = null;
        try
        {
            truth = host.TruthPath is { } path ? new TruthFile(path) : null;
            for (int i = 0; i < host.Cells; i++)
            {
                LiveCell live = Begin(options with { Seed = unchecked(options.Seed + i) }, scenario, host, time);
                cells.Add(live);
                (IAsyncDisposable face, string name) = StartFace(live, host, host.Port == 0 ? 0 : host.Port + i, time);
                faces.Add(face);
                await output.WriteLineAsync($"listening on {name}");
            }

            if (truth is not null)
            {
                cells[0].Sampled = c => truth.Write(cells[0].UtcAt(c.MachineTime), c.Truth);
            }

            await output.FlushAsync(CancellationToken.None); // told to stop at once is still a clean end
            await BeatAsync(cells, time, stop);
            return new(true, null);
        }
        catch (SocketException e)
        {
            return new(false, string.Create(CultureInfo.InvariantCulture, $"Port {host.Port} cannot be listened on ({e.SocketErrorCode}). Choose another with --port, or leave it out for a free one."));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new(false, $"{e.Message} Choose another path with --truth or --device.");
        }
        finally
        {
            foreach (IAsyncDisposable face in faces)
            {
                await face.DisposeAsync();
            }

            truth?.Dispose();
        }
    }

    private static LiveCell Begin(SimulatorOptions options, Scenario scenario, WireOptions host, TimeProvider time)
    {
        var cell = new SimulatedCell(options, scenario);
        cell.AdvanceTo(host.StartAt);
        return new(cell, time, host.Speed);
    }

    private static (IAsyncDisposable Face, string Name) StartFace(LiveCell cell, WireOptions host, int port, TimeProvider time)
    {
        var endpoint = new IPEndPoint(IPAddress.Loopback, port);
        SerialLine? line = host.Device is { } device ? SerialLine.Open(device, host.Baud, host.Parity)
            : host.Face == FaceKind.ModbusRtu ? SerialLine.NewPseudoTerminal() : null;
        switch (host.Face)
        {
            case FaceKind.ModbusTcp:
                ModbusTcpFace tcp = ModbusTcpFace.Start(new CellRegisters(cell), endpoint);
                return (tcp, tcp.Endpoint.ToString());
            case FaceKind.ModbusRtu:
                ModbusRtuFace rtu = ModbusRtuFace.Start(new CellRegisters(cell), line!);
                return (rtu, rtu.Name);
            default:
                TextDialect dialect = host.Face switch { FaceKind.Csv => TextDialect.Csv, FaceKind.KeyValue => TextDialect.KeyValue, _ => TextDialect.Query };
                TextFace text = line is null ? TextFace.Start(cell, endpoint, dialect, time) : TextFace.Start(cell, line, dialect);
                return (text, text.Name);
        }
    }

    // Keeps the machines living, and the truth being written, while nobody asks.
    private static async Task BeatAsync(List<LiveCell> cells, TimeProvider time, CancellationToken stop)
    {
        using var timer = new PeriodicTimer(Heartbeat, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stop))
            {
                foreach (LiveCell cell in cells)
                {
                    cell.Look(static c => c.MachineTime);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // Told to stop: the way this is meant to end. The truth is written up to this moment.
            foreach (LiveCell cell in cells)
            {
                cell.Look(static c => c.MachineTime);
            }
        }
    }
}
