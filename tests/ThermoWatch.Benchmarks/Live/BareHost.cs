using System.Diagnostics;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>
/// The peer: a host with one hub and nothing else, which pushes one frame ten times a second, a JSON object a reading,
/// as one would begin.
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
        WebApplication app = builder.Build();
        app.MapHub<BareHub>("/hubs/live");
        app.MapGet("/healthz/ready", () => "ready");
        app.Run();
    }

    internal sealed class BareHub : Hub;

    private sealed record Value(int Channel, double T, double Celsius, int Quality);

    private sealed class Pump(IHubContext<BareHub> hub) : BackgroundService
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
