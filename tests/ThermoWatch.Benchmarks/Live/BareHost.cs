using System.Buffers.Binary;
using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net.WebSockets;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>
/// The peers: a host with one hub and nothing else, which pushes one frame ten times a second, a JSON object a reading,
/// as one would begin; and beside it a plain WebSocket, which pushes the packed bytes and nothing else.
/// </summary>
internal static class BareHost
{
    public const string Verb = "bare-host";

    public static void Run(int port)
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls($"http://localhost:{port}");
        builder.Services.AddSignalR();
        builder.Services.AddHostedService<Pump>();
        builder.Services.AddSingleton<Sockets>();
        WebApplication app = builder.Build();
        app.UseWebSockets();
        app.Map("/ws", async (HttpContext context, Sockets sockets) =>
        {
            using WebSocket socket = await context.WebSockets.AcceptWebSocketAsync();
            sockets.All.TryAdd(socket, true);
            await socket.ReceiveAsync(new byte[64], context.RequestAborted);
            sockets.All.TryRemove(socket, out _);
        });
        app.MapHub<BareHub>("/hubs/live");
        app.MapGet("/healthz/ready", () => "ready");
        app.Run();
    }

    internal sealed class BareHub : Hub;

    /// <summary>Plain WebSockets that are open.</summary>
    internal sealed class Sockets
    {
        public ConcurrentDictionary<WebSocket, bool> All { get; } = new();
    }

    /// <summary>One reading, as one would begin.</summary>
    internal sealed record Value(int Channel, double T, double Celsius, int Quality);

    private sealed class Pump(IHubContext<BareHub> hub, Sockets sockets) : BackgroundService
    {
        protected override async Task ExecuteAsync(CancellationToken stoppingToken)
        {
            var random = new Random(1);
            using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(100));
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                double t = Clock.UnixMilliseconds();
                Value[] values = [.. Enumerable.Range(0, 16).Select(c => new Value(c, t, 150 + random.NextDouble(), 192))];
                await hub.Clients.All.SendAsync("scan", values, stoppingToken);

                // 16 float32, 4 bytes of quality, and a head of cell, number and time, as long as a packed frame of ours.
                byte[] packed = new byte[87];
                BinaryPrimitives.WriteDoubleLittleEndian(packed, t);
                foreach (WebSocket socket in sockets.All.Keys)
                {
                    if (socket.State == WebSocketState.Open)
                    {
                        await socket.SendAsync(packed, WebSocketMessageType.Binary, endOfMessage: true, stoppingToken);
                    }
                }
            }
        }
    }
}

/// <summary>Wall clock in ms since 1970, for comparing with another process of this machine.</summary>
internal static class Clock
{
    private static readonly double Start = (TimeProvider.System.GetUtcNow() - DateTimeOffset.UnixEpoch).TotalMilliseconds;
    private static readonly long Stamp = Stopwatch.GetTimestamp();

    public static double UnixMilliseconds() => Start + Stopwatch.GetElapsedTime(Stamp).TotalMilliseconds;
}
