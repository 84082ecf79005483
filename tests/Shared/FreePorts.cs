using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Tests;

/// <summary>TCP ports for programs that must be told one.</summary>
/// <remarks>
/// They lie below those that the system gives to outgoing connections, and none is given twice: a port that was free a moment
/// ago could else be taken by another test, or by a connection, before its program listens.
/// </remarks>
internal static class FreePorts
{
    private const int First = 20_000;
    private const int Count = 12_000;

    // Test programs that run beside each other begin at different places.
    private static int s_next = Environment.ProcessId * 97 % Count;

    /// <summary>A port of the loopback that nobody listens on and nobody else is given.</summary>
    public static int Next()
    {
        while (true)
        {
            int port = First + (int)((uint)Interlocked.Increment(ref s_next) % Count);
            using var listener = new TcpListener(IPAddress.Loopback, port) { ExclusiveAddressUse = true };
            try
            {
                listener.Start();
                return port;
            }
            catch (SocketException)
            {
                // Somebody listens there.
            }
        }
    }
}
