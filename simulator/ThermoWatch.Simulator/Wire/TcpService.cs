using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Takes connections and serves each on its own, until it is disposed.</summary>
internal sealed class TcpService : IAsyncDisposable
{
    private readonly TcpListener _listener;
    private readonly Func<Socket, CancellationToken, Task> _serve;
    private readonly CancellationTokenSource _stop = new();
    private readonly ConcurrentDictionary<Socket, Task> _clients = new();
    private readonly Task _accepting;

    /// <param name="endpoint">Address; port 0 takes a free one.</param>
    /// <param name="serve">Serves one connection; returning or failing on the socket ends it.</param>
    /// <exception cref="SocketException">The port is in use or may not be used.</exception>
    public TcpService(IPEndPoint endpoint, Func<Socket, CancellationToken, Task> serve)
    {
        _serve = serve;
        _listener = new(endpoint);
        _listener.Start();
        Endpoint = (IPEndPoint)_listener.LocalEndpoint;
        _accepting = AcceptAsync();
    }

    public IPEndPoint Endpoint { get; }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        _listener.Stop();
        foreach (Socket client in _clients.Keys)
        {
            client.Dispose();
        }

        await _accepting;
        await Task.WhenAll(_clients.Values);
        _stop.Dispose();
    }

    /// <summary>Sends all of it.</summary>
    public static async Task SendAsync(Socket client, ReadOnlyMemory<byte> bytes, CancellationToken stop)
    {
        while (!bytes.IsEmpty)
        {
            bytes = bytes[await client.SendAsync(bytes, stop)..];
        }
    }

    private async Task AcceptAsync()
    {
        while (!_stop.IsCancellationRequested)
        {
            Socket client;
            try
            {
                client = await _listener.AcceptSocketAsync(_stop.Token);
            }
            catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
            {
                // A connection that was gone before it was taken does not end the listening; a stopped listener does.
                continue;
            }

            client.NoDelay = true;
            _clients[client] = Task.CompletedTask;
            Task serving = Task.Run(() => ServeAsync(client));
            _clients.TryUpdate(client, serving, Task.CompletedTask);
        }
    }

    private async Task ServeAsync(Socket client)
    {
        try
        {
            await _serve(client, _stop.Token);
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The client went away, or the service is being closed: either way this connection is over.
        }
        finally
        {
            _clients.TryRemove(client, out _);
            client.Dispose();
        }
    }
}
