using System.Diagnostics;
using System.Threading.Channels;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Tests;

namespace ThermoWatch.Benchmarks;

/// <summary>Topic <c>modbus</c>: polls a second and CPU a poll of our clients beside libmodbus, pymodbus and modbus-serial.</summary>
/// <remarks>Everything runs on one core, peers and ours in turn within each round; ratios are medians of the rounds' ratios.</remarks>
internal static class ModbusBenchmarks
{
    private const int Rounds = 5;
    private const double Seconds = 0.6;
    private static readonly TimeSpan Timeout = TimeSpan.FromSeconds(1);

    /// <summary>One measurement of a client.</summary>
    private readonly record struct Measured(double PollsPerSecond, double CpuMicroseconds, double MedianMicroseconds, double AllocatedBytes);

    public static void Run()
    {
        if (!OperatingSystem.IsLinux()) throw new PlatformNotSupportedException("The peers run on Linux.");
        Process.GetCurrentProcess().ProcessorAffinity = 1; // children inherit it
        Console.WriteLine($"# one core, {Rounds} rounds of {Seconds} s, function 03; peers: libmodbus (default), pymodbus (default), modbus-serial (default)");
        using var peers = new ModbusPeers();
        Tcp(peers);
        Rtu(peers);
        foreach (int baud in (int[])[9600, 19200, 115200]) Wire(peers, baud);
        Farm(peers);
    }

    private static void Tcp(ModbusPeers peers)
    {
        int port = FreePorts.Next();
        peers.Serve("server", "tcp", $"{port}");
        string seconds = FormattableString.Invariant($"{Seconds}");
        List<Measured> ours = [], eight = [], theirs = [];
        List<double> python = [], node = [];
        for (int round = 0; round < Rounds; round++)
        {
            theirs.Add(Peer(peers.Client("tcp", $"{port}", "16", seconds)));
            ours.Add(Measure(new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System), 16));
            eight.Add(MeasureEight(port));
            if (File.Exists(ModbusPeers.Python)) python.Add(ModbusPeers.Run(ModbusPeers.Python, ModbusPeers.PythonClient, $"{port}", "16", seconds)[0]);
            if (ModbusPeers.NodeModules is { } modules) node.Add(ModbusPeers.Run("node", ModbusPeers.NodeClient, modules, $"{port}", "16", seconds)[0]);
        }

        Line("tcp 16 registers, one at a time, against libmodbus", [.. ours.Select(m => m.PollsPerSecond)], "polls/s", [.. theirs.Select(m => m.PollsPerSecond)], lessIsBetter: false);
        Line("tcp 16 registers, CPU, against libmodbus", [.. ours.Select(m => m.CpuMicroseconds)], "us/poll", [.. theirs.Select(m => m.CpuMicroseconds)], lessIsBetter: true);
        Line("tcp 16 registers, 8 outstanding, against libmodbus one at a time", [.. eight.Select(m => m.PollsPerSecond)], "polls/s", [.. theirs.Select(m => m.PollsPerSecond)], lessIsBetter: false);
        if (python.Count > 0) Line("tcp 16 registers, against pymodbus", [.. ours.Select(m => m.PollsPerSecond)], "polls/s", python, lessIsBetter: false);
        if (node.Count > 0) Line("tcp 16 registers, against modbus-serial", [.. ours.Select(m => m.PollsPerSecond)], "polls/s", node, lessIsBetter: false);
        Alone("tcp allocation a poll", Median([.. ours.Select(m => m.AllocatedBytes)]), "B");
        peers.StopAll();
    }

    private static void Rtu(ModbusPeers peers)
    {
        (string port, string slave) = peers.Line();
        peers.Serve("server", "rtu", slave, "115200");
        List<Measured> ours = [], theirs = [];
        for (int round = 0; round < Rounds; round++)
        {
            theirs.Add(Peer(peers.Client("rtu", port, "16", FormattableString.Invariant($"{Seconds}"), "115200")));
            ours.Add(Measure(Serial(port, 115200, TimeSpan.Zero), 16));
        }

        Line("rtu on a pseudo-terminal, 16 registers, against libmodbus (neither waits between frames)", [.. ours.Select(m => m.PollsPerSecond)], "polls/s", [.. theirs.Select(m => m.PollsPerSecond)], lessIsBetter: false);
        Line("rtu on a pseudo-terminal, CPU, against libmodbus", [.. ours.Select(m => m.CpuMicroseconds)], "us/poll", [.. theirs.Select(m => m.CpuMicroseconds)], lessIsBetter: true);
        Alone("rtu allocation a poll", Median([.. ours.Select(m => m.AllocatedBytes)]), "B");
        peers.StopAll();
    }

    // 8 registers, 8E1: 8 and 21 characters of 11 bits, and the silence before the reply, which the slave keeps.
    private static void Wire(ModbusPeers peers, int baud)
    {
        (string port, string slave) = peers.Line();
        peers.Serve("wire", slave, $"{baud}");
        var settings = new SerialSettings { Port = port, Baud = baud };
        double limit = (settings.WireTime(29) + settings.FrameGap).TotalMicroseconds, polite = limit + settings.FrameGap.TotalMicroseconds;
        List<double> ours = [], theirs = [], kept = [];
        for (int round = 0; round < 3; round++)
        {
            theirs.Add(100 * limit / Peer(peers.Client("rtu", port, "8", "1", $"{baud}")).MedianMicroseconds);
            ours.Add(100 * limit / Measure(Serial(port, baud, TimeSpan.Zero), 8, 1).MedianMicroseconds);
            kept.Add(100 * polite / Measure(Serial(port, baud, settings.FrameGap), 8, 1).MedianMicroseconds);
        }

        Line($"rtu at {baud} Bd, 8 registers, share of the line's limit, against libmodbus", ours, "%", theirs, lessIsBetter: false);
        Alone($"rtu at {baud} Bd, share of its own limit when silence is kept before sending too (as in service)", Median(kept), "%");
        peers.StopAll();
    }

    private static void Farm(ModbusPeers peers)
    {
        int port = FreePorts.Next();
        peers.Serve("farm", $"{port}");
        ModbusPoint[] points = [.. Enumerable.Range(0, 16).Select(i => new ModbusPoint { Id = $"p{i}", Address = i })];
        var queue = Channel.CreateBounded<EngineInput>(10_000);

        // One runner each: devices of one runner at one address would share a connection.
        AcquisitionRunner[] runners = [.. Enumerable.Range(0, 64).Select(i => new AcquisitionRunner(
            [new ModbusTcpDeviceOptions { Id = $"d{i}", Host = "127.0.0.1", Port = port, Points = points }],
            queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, i))];
        using var stop = new CancellationTokenSource();
        Task[] running = [.. runners.Select(r => r.RunAsync(stop.Token))];
        long began = Stopwatch.GetTimestamp();
        TimeSpan cpu = Process.GetCurrentProcess().TotalProcessorTime;
        while (Stopwatch.GetElapsedTime(began) < TimeSpan.FromSeconds(10))
        {
            while (queue.Reader.TryRead(out _)) { /* the cell loop would take it */ }
            Task.Delay(20).Wait();
        }

        double share = (Process.GetCurrentProcess().TotalProcessorTime - cpu) / Stopwatch.GetElapsedTime(began);
        stop.Cancel();
        Task.WaitAll(running);
        long polls = runners.Sum(r => r.Statistics[0].Polls), late = runners.Sum(r => r.Statistics[0].Late);
        Alone("64 devices at 10 Hz on one core with their slaves: polls", polls, "");
        Alone("64 devices at 10 Hz: late polls", 100.0 * late / (polls + late), "%");
        Alone("64 devices at 10 Hz: CPU of one core, ours alone", 100 * share, "%");
        peers.StopAll();
    }

    private static ModbusRtuClient Serial(string port, int baud, TimeSpan gap) =>
        new(SerialLinks.Create(new SerialSettings { Port = port, Baud = baud }, TimeProvider.System), TimeProvider.System, gap);

    private static Measured Measure(IModbusClient client, int registers, double seconds = Seconds) => Measure(client, seconds, 1, () =>
    {
        ModbusExchange exchange = client.Exchange(1, ModbusRequest.Read(ModbusTable.Holding, 0, registers), Timeout);
        if (exchange.Status != ExchangeStatus.Ok || exchange.Data[3] != 8) throw new InvalidOperationException($"{exchange.Status} {exchange.Reason}");
    });

    private static Measured MeasureEight(int port)
    {
        var client = new ModbusTcpClient(new TcpLink("127.0.0.1", port, manyOutstanding: true), TimeProvider.System, 8);
        var blocks = Enumerable.Repeat(new ReadBlock(ModbusTable.Holding, 0, 16), 8).ToArray();
        var check = new Checker();
        return Measure(client, Seconds, 8, () => client.ReadBlocks(1, blocks, Timeout, check));
    }

    private static Measured Measure(IModbusClient client, double seconds, int pollsPerCall, Action call)
    {
        using (client)
        {
            if (client.Open(Timeout).Status != LinkStatus.Done) throw new InvalidOperationException("The peer cannot be reached.");
            for (long warm = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(warm).TotalSeconds < 0.3;) call();
            var took = new double[2_000_000];
            int n = 0;
            TimeSpan cpu = Process.GetCurrentProcess().TotalProcessorTime;
            long allocated = GC.GetAllocatedBytesForCurrentThread();
            long start = Stopwatch.GetTimestamp(), t = start, end = start + (long)(seconds * Stopwatch.Frequency);
            while (t < end && n < took.Length)
            {
                call();
                long u = Stopwatch.GetTimestamp();
                took[n++] = u - t;
                t = u;
            }

            double bytes = GC.GetAllocatedBytesForCurrentThread() - allocated;
            double used = (Process.GetCurrentProcess().TotalProcessorTime - cpu).TotalMicroseconds;
            double polls = (double)n * pollsPerCall, perMicrosecond = Stopwatch.Frequency / 1e6;
            Array.Sort(took, 0, n);
            return new(polls / ((t - start) / (double)Stopwatch.Frequency), used / polls, took[n / 2] / perMicrosecond / pollsPerCall, bytes / polls);
        }
    }

    private static Measured Peer(double[] numbers) => new(numbers[0], numbers[1], numbers[2], 0);

    private static double Median(IReadOnlyList<double> values) => values.Order().ElementAt(values.Count / 2);

    private static void Line(string name, IReadOnlyList<double> ours, string unit, IReadOnlyList<double> theirs, bool lessIsBetter)
    {
        double ratio = Median([.. ours.Zip(theirs, (o, t) => lessIsBetter ? t / o : o / t)]);
        Console.WriteLine(FormattableString.Invariant($"{name}\t{Median(ours):0.##}\t{unit}\t{Median(theirs):0.##}\t{ratio:0.00}"));
    }

    private static void Alone(string name, double value, string unit) => Console.WriteLine(FormattableString.Invariant($"{name}\t{value:0.##}\t{unit}\t-\t-"));

    private sealed class Checker : IBlockReader
    {
        public void OnBlock(int index, in ModbusExchange exchange)
        {
            if (exchange.Status != ExchangeStatus.Ok || exchange.Data[3] != 8) throw new InvalidOperationException($"{exchange.Status} {exchange.Reason}");
        }
    }
}
