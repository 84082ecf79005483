using System.Diagnostics;
using System.Globalization;

namespace ThermoWatch.Benchmarks;

/// <summary>The programs that Modbus is measured with and against; all on one core.</summary>
internal sealed class ModbusPeers : IDisposable
{
    private readonly List<Process> _running = [];
    private readonly string _folder = Directory.CreateTempSubdirectory("modbus-bench").FullName;
    private readonly string _program;
    private int _lines;

    public ModbusPeers()
    {
        _program = Path.Combine(_folder, "modbus_peer");
        string source = Path.Combine(AppContext.BaseDirectory, "Peers", "modbus_peer.c");
        using var gcc = Process.Start("gcc", ["-O2", "-I/usr/include/modbus", "-o", _program, source, "-lmodbus"]);
        gcc.WaitForExit();
        if (gcc.ExitCode != 0) throw new InvalidOperationException("modbus_peer.c does not compile (needs gcc and libmodbus-dev).");
    }

    public static string Python => "/usr/bin/python3";

    public static string PythonClient => Path.Combine(AppContext.BaseDirectory, "Peers", "modbus_client.py");

    public static string NodeClient => Path.Combine(AppContext.BaseDirectory, "Peers", "modbus_client.cjs");

    /// <summary>Where npm put modbus-serial; null if it is not installed.</summary>
    public static string? NodeModules
    {
        get
        {
            string? folder = AppContext.BaseDirectory;
            while (folder is not null && !File.Exists(Path.Combine(folder, "ThermoWatch.sln"))) folder = Path.GetDirectoryName(folder);
            string modules = Path.Combine(folder ?? "", "tests", "ThermoWatch.Acquisition.Tests", "Peers", "node_modules");
            return Directory.Exists(Path.Combine(modules, "modbus-serial")) ? modules : null;
        }
    }

    /// <summary>Starts the C peer; it serves once this returns.</summary>
    public void Serve(params string[] arguments)
    {
        var process = Process.Start(new ProcessStartInfo(_program, arguments) { RedirectStandardOutput = true })!;
        _running.Add(process);
        if (process.StandardOutput.ReadLine() != "ready") throw new InvalidOperationException($"modbus_peer {string.Join(' ', arguments)} does not start.");
    }

    /// <summary>Two pseudo-terminals tied together.</summary>
    public (string Ours, string Theirs) Line()
    {
        _lines++;
        string ours = Path.Combine(_folder, $"ours{_lines}"), theirs = Path.Combine(_folder, $"theirs{_lines}");
        _running.Add(Process.Start(new ProcessStartInfo("socat", [$"pty,raw,echo=0,link={ours}", $"pty,raw,echo=0,link={theirs}"]))!);
        while (!File.Exists(ours) || !File.Exists(theirs)) Thread.Yield();
        return (ours, theirs);
    }

    /// <summary>Runs a client to its end and returns the numbers it prints.</summary>
    public double[] Client(params string[] arguments) => Run(_program, ["client", .. arguments]);

    public static double[] Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true })!;
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0) throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} failed.");
        return [.. output.Split(' ', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(n => double.Parse(n, CultureInfo.InvariantCulture))];
    }

    /// <summary>Ends what serves.</summary>
    public void StopAll()
    {
        for (int i = _running.Count - 1; i >= 0; i--)
        {
            if (!_running[i].HasExited) _running[i].Kill();
            _running[i].WaitForExit();
            _running[i].Dispose();
        }

        _running.Clear();
    }

    public void Dispose()
    {
        StopAll();
        Directory.Delete(_folder, recursive: true);
    }
}
