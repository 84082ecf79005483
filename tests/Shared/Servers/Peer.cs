using System.Diagnostics;
using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Tests.Servers;

/// <summary>A program that we did not write, on loopback and in a folder of its own; it ends with the test.</summary>
internal sealed class Peer : IDisposable
{
    private readonly Process _process;
    private readonly bool _ownsFolder;

    private Peer(Process process, string folder, bool ownsFolder) => (_process, Folder, _ownsFolder) = (process, folder, ownsFolder);

    public string Folder { get; }

    /// <summary>Starts it and waits until its port answers.</summary>
    /// <param name="program">Its name.</param>
    /// <param name="package">Debian package, for who misses it.</param>
    /// <param name="port">The port that it will listen on.</param>
    /// <param name="arguments">Its arguments, given its folder.</param>
    /// <param name="folder">A folder of an earlier one, to come back to; null: a new one.</param>
    public static async Task<Peer> StartAsync(string program, string package, int port, Func<string, string[]> arguments, string? folder = null)
    {
        string path = Peers.Program(program, package);
        string home = folder ?? Directory.CreateTempSubdirectory("peer").FullName;
        var process = Process.Start(new ProcessStartInfo(path, arguments(home)) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        process.OutputDataReceived += (_, _) => { };
        process.ErrorDataReceived += (_, _) => { };
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        var peer = new Peer(process, home, folder is null);
        long began = Stopwatch.GetTimestamp();
        while (true)
        {
            try
            {
                using var client = new TcpClient();
                await client.ConnectAsync(IPAddress.Loopback, port, TestContext.Current.CancellationToken);
                return peer;
            }
            catch (SocketException) when (!process.HasExited && Stopwatch.GetElapsedTime(began) < TimeSpan.FromSeconds(30))
            {
                await Task.Delay(50, TestContext.Current.CancellationToken);
            }
            catch (SocketException)
            {
                peer.Dispose();
                Assert.Fail($"{program} does not listen on port {port}.");
            }
        }
    }

    /// <summary>Ends it without a word.</summary>
    public void Kill()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
            _process.WaitForExit();
        }
    }

    public void Dispose()
    {
        Kill();
        _process.Dispose();
        if (_ownsFolder)
        {
            Directory.Delete(Folder, recursive: true);
        }
    }
}
