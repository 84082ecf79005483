using System.Collections.Concurrent;
using System.Diagnostics;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>The published program, running as a process of its own; ended with the test at the latest.</summary>
internal sealed class ProgramRun : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);
    private readonly Process _process;
    private readonly ConcurrentQueue<string> _output = new();
    private readonly ConcurrentQueue<string> _errors = new();

    private ProgramRun(Process process)
    {
        _process = process;
        process.OutputDataReceived += (_, e) => Keep(_output, e.Data);
        process.ErrorDataReceived += (_, e) => Keep(_errors, e.Data);
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
    }

    public string Output => string.Join('\n', _output);

    public string Errors => string.Join('\n', _errors);

    public int Id => _process.Id;

    public long ResidentBytes
    {
        get
        {
            _process.Refresh();
            return _process.WorkingSet64;
        }
    }

    public static ProgramRun Start(string[] arguments, params (string Name, string Value)[] environment)
    {
        var start = new ProcessStartInfo("dotnet", [Published.Assembly, .. arguments])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = Path.GetTempPath(),
        };
        start.Environment["DOTNET_NOLOGO"] = "1";
        foreach ((string name, string value) in environment)
        {
            start.Environment[name] = value;
        }

        return new ProgramRun(Process.Start(start)!);
    }

    /// <summary>Waits for a line of output that contains a text, and gives the line.</summary>
    public async Task<string> SaysAsync(string text)
    {
        var waited = Stopwatch.StartNew();
        while (waited.Elapsed < Patience)
        {
            if (_output.FirstOrDefault(l => l.Contains(text, StringComparison.Ordinal)) is { } line)
            {
                return line;
            }

            Assert.False(_process.HasExited, $"It ended with {(_process.HasExited ? _process.ExitCode : 0)} before it said \"{text}\".\n{Output}\n{Errors}");
            await Task.Delay(20);
        }

        Assert.Fail($"It did not say \"{text}\" within {Patience.TotalSeconds} s.\n{Output}\n{Errors}");
        return "";
    }

    public async Task<int> EndsAsync()
    {
        using var late = new CancellationTokenSource(Patience);
        await _process.WaitForExitAsync(late.Token);
        return _process.ExitCode;
    }

    /// <summary>As a terminal's Ctrl-C does.</summary>
    public Task<int> InterruptAsync() => SignalAsync("INT");

    /// <summary>As a power cut of the process: no chance to tidy up.</summary>
    public Task<int> KillAsync() => SignalAsync("KILL");

    public async ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
            await _process.WaitForExitAsync();
        }

        _process.Dispose();
    }

    private async Task<int> SignalAsync(string signal)
    {
        using var kill = Process.Start("kill", ["-" + signal, Id.ToString()]);
        await kill.WaitForExitAsync();
        return await EndsAsync();
    }

    private static void Keep(ConcurrentQueue<string> lines, string? line)
    {
        if (line is not null)
        {
            lines.Enqueue(line);
        }
    }
}
