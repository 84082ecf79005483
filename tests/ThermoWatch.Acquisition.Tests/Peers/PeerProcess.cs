using System.Diagnostics;

namespace ThermoWatch.Acquisition.Tests.Peers;

/// <summary>A program that we did not write, run beside the test and ended with it.</summary>
internal sealed class PeerProcess : IDisposable
{
    private readonly Process _process;

    private PeerProcess(Process process) => _process = process;

    /// <summary>Whether it still runs.</summary>
    public bool Running => !_process.HasExited;

    /// <summary>Starts it; it prints <c>ready</c> once it serves.</summary>
    public static PeerProcess Start(string program, params string[] arguments)
    {
        var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        Task<string> errors = process.StandardError.ReadToEndAsync();
        while (process.StandardOutput.ReadLine() is { } line)
            if (line.Contains("ready", StringComparison.Ordinal)) return new PeerProcess(process);
        throw new InvalidOperationException($"{program} ended: {errors.GetAwaiter().GetResult()}");
    }

    /// <summary>Starts a program that says nothing; the caller waits for what it makes.</summary>
    public static PeerProcess StartSilent(string program, params string[] arguments) =>
        new(Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true })!);

    /// <summary>Compiles one of the C programs beside the tests and returns its path.</summary>
    public static string Compile(string source, params string[] libraries)
    {
        string gcc = ThermoWatch.Tests.Peers.Program("gcc", "gcc");
        ThermoWatch.Tests.Peers.Need(File.Exists("/usr/include/modbus/modbus.h"), "libmodbus headers are not installed (Debian package libmodbus-dev)");
        string target = Path.Combine(Directory.CreateTempSubdirectory("peer").FullName, Path.GetFileNameWithoutExtension(source));
        string[] arguments = ["-O2", "-I/usr/include/modbus", "-o", target, Script(source), .. libraries.Select(l => "-l" + l)];
        using var compiler = Process.Start(new ProcessStartInfo(gcc, arguments) { RedirectStandardError = true })!;
        string errors = compiler.StandardError.ReadToEnd();
        compiler.WaitForExit();
        Assert.True(compiler.ExitCode == 0, errors);
        return target;
    }

    /// <summary>Path of a peer's source in the test's output folder.</summary>
    public static string Script(string name) => Path.Combine(AppContext.BaseDirectory, "Peers", name);

    /// <summary>The folder of this file in the working copy, where packages of peers are installed.</summary>
    public static string SourceFolder
    {
        get
        {
            string? folder = AppContext.BaseDirectory;
            while (folder is not null && !File.Exists(Path.Combine(folder, "ThermoWatch.sln"))) folder = Path.GetDirectoryName(folder);
            return Path.Combine(folder ?? "", "tests", "ThermoWatch.Acquisition.Tests", "Peers");
        }
    }

    public void Dispose()
    {
        if (Running) _process.Kill();
        _process.WaitForExit();
        _process.Dispose();
    }
}
