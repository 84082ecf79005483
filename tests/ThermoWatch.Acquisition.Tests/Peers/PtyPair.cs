using System.Diagnostics;

namespace ThermoWatch.Acquisition.Tests.Peers;

/// <summary>Two pseudo-terminals tied together: a serial line without hardware. Ending it is pulling the cable.</summary>
internal sealed class PtyPair : IDisposable
{
    private readonly PeerProcess _socat;

    private PtyPair(PeerProcess socat, string ours, string theirs)
    {
        _socat = socat;
        Ours = ours;
        Theirs = theirs;
    }

    public string Ours { get; }

    public string Theirs { get; }

    public static PtyPair Create(string? folder = null)
    {
        string socat = ThermoWatch.Tests.Peers.Program("socat", "socat");
        folder ??= Directory.CreateTempSubdirectory("line").FullName;
        string ours = Path.Combine(folder, "ours"), theirs = Path.Combine(folder, "theirs");
        PeerProcess process = PeerProcess.StartSilent(socat, $"pty,raw,echo=0,link={ours}", $"pty,raw,echo=0,link={theirs}");
        long began = Stopwatch.GetTimestamp();
        while (!(File.Exists(ours) && File.Exists(theirs)))
        {
            Assert.True(Stopwatch.GetElapsedTime(began) < TimeSpan.FromSeconds(60) && process.Running, "socat made no terminals");
            Thread.Yield();
        }

        return new PtyPair(process, ours, theirs);
    }

    public void Dispose()
    {
        _socat.Dispose();
        File.Delete(Ours); // socat, killed, leaves its links behind
        File.Delete(Theirs);
    }
}
