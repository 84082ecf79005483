using System.Collections.Concurrent;
using System.Globalization;
using System.IO.Compression;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.Logging;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>A value as it arrived.</summary>
/// <param name="Channel">Tag of the channel.</param>
/// <param name="TimeMs">Its time, ms since 1970.</param>
/// <param name="Value">Its value as text.</param>
/// <param name="ArrivedMs">When it was here, ms since 1970.</param>
internal sealed record ArrivedValue(string Channel, long TimeMs, string Value, double ArrivedMs);

/// <summary>A database that takes line protocol and treats its clients badly: refuses, asks to wait, or stores and then hangs up.</summary>
internal sealed class LineSink : IAsyncDisposable
{
    private readonly WebApplication _app;
    private readonly ConcurrentQueue<ArrivedValue> _values = new();
    private readonly Lock _gate = new();
    private readonly Random _random = new(7);

    private LineSink(int port)
    {
        Port = port;
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.WebHost.ConfigureKestrel(k => k.Listen(System.Net.IPAddress.Loopback, port, o => o.Protocols = HttpProtocols.Http1));
        builder.Logging.ClearProviders();
        _app = builder.Build();
        _app.MapPost("/api/v2/write", TakeAsync);
    }

    public int Port { get; }

    /// <summary>How bad it is: share of requests that do not get a plain yes.</summary>
    public double Chaos { get; set; }

    /// <summary>Whether it answers 503 to everything.</summary>
    public bool Down { get; set; }

    public int Requests { get; private set; }

    public int Troubles { get; private set; }

    /// <summary>What it has stored, in the order of arrival; repeats too.</summary>
    public IReadOnlyList<ArrivedValue> Values => [.. _values];

    public static async Task<LineSink> StartAsync(int port)
    {
        var sink = new LineSink(port);
        await sink._app.StartAsync();
        return sink;
    }

    public async ValueTask DisposeAsync() => await _app.DisposeAsync();

    private async Task TakeAsync(HttpContext context)
    {
        Stream body = context.Request.Headers.ContentEncoding == "gzip" ? new GZipStream(context.Request.Body, CompressionMode.Decompress) : context.Request.Body;
        string text = await new StreamReader(body).ReadToEndAsync();
        double chance;
        lock (_gate)
        {
            chance = _random.NextDouble() / Math.Max(Chaos, 1e-9);
            Requests++;
            Troubles += Down || chance < 1 ? 1 : 0;
        }

        if (Down || chance < 0.3)
        {
            context.Response.StatusCode = 503;
            return;
        }

        if (chance < 0.5)
        {
            context.Response.StatusCode = 429;
            return;
        }

        double now = (TimeProvider.System.GetUtcNow() - DateTimeOffset.UnixEpoch).TotalMilliseconds;
        lock (_gate)
        {
            foreach (string line in text.Split('\n', StringSplitOptions.RemoveEmptyEntries).Where(l => l.Contains(",channel=", StringComparison.Ordinal) && l.Contains(" value=", StringComparison.Ordinal) && !l.StartsWith("figure", StringComparison.Ordinal) && !l.StartsWith("alarm", StringComparison.Ordinal)))
            {
                string[] parts = line.Split(' ');
                string channel = parts[0].Split(',').Single(t => t.StartsWith("channel=", StringComparison.Ordinal))["channel=".Length..];
                _values.Enqueue(new ArrivedValue(channel, long.Parse(parts[^1], CultureInfo.InvariantCulture), parts[1].Split(',')[0]["value=".Length..], now));
            }
        }

        if (chance < 1)
        {
            context.Abort(); // stored, and nobody is told
            return;
        }

        context.Response.StatusCode = 204;
    }
}
