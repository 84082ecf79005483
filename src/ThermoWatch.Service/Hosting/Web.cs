using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Live;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Hosting;

/// <summary>What the web hands out, and where.</summary>
internal sealed record WebParts
{
    /// <summary>Name or address to listen at.</summary>
    public required string Host { get; init; }

    public required int Port { get; init; }

    public required CellDirectory Cells { get; init; }

    public required RunCatalogue Catalogue { get; init; }

    public required Viewers Viewers { get; init; }

    public required RecordWatch Record { get; init; }

    public required ProbeDesk Probes { get; init; }

    public required RejudgeDesk Rejudging { get; init; }

    public required ILoggerFactory Logs { get; init; }
}

/// <summary>The pages, the live hub and what other programs ask for.</summary>
internal static class Web
{
    public static WebApplication Build(WebParts parts)
    {
        // The content lies beside the program, wherever it was started from.
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions { ContentRootPath = AppContext.BaseDirectory });
        builder.WebHost.UseStaticWebAssets();
        builder.WebHost.ConfigureKestrel(kestrel => Listen(kestrel, parts.Host, parts.Port));
        builder.Services.AddSingleton(parts.Logs);
        builder.Services.AddSingleton(parts.Cells);
        builder.Services.AddSingleton(parts.Catalogue);
        builder.Services.AddSingleton(parts.Viewers);
        builder.Services.AddSingleton(parts.Record);
        builder.Services.AddSingleton(parts.Probes);
        builder.Services.AddSingleton(parts.Rejudging);
        builder.Services.AddApi();
        builder.Services.AddSignalR(hub => hub.KeepAliveInterval = TimeSpan.FromSeconds(5)).AddMessagePackProtocol();

        WebApplication app = builder.Build();
        app.UseStatusCodePages(); // a body that cannot be read is a problem with words too
        app.UseCompressedWebSockets();
        app.MapStaticAssets();
        app.MapApi();
        app.MapSchemas();
        app.MapHub<LiveHub>("/hubs/live");
        app.MapGet("/healthz/live", () => Results.Text("alive"));
        app.MapGet("/healthz/ready", () => Results.Text("ready"));
        app.MapFallbackToFile("index.html");
        return app;
    }

    /// <summary>What to tell a person whose port is taken; null if that is not the trouble.</summary>
    public static string? PortInUse(Exception error, int port, string verb) => error switch
    {
        AddressInUseException or IOException { InnerException: AddressInUseException } =>
            $"Port {port} is already in use by another program. Choose another: thermowatch {verb} --port {port + 1}",
        _ => null,
    };

    private static void Listen(KestrelServerOptions kestrel, string host, int port)
    {
        if (host == "localhost")
        {
            kestrel.ListenLocalhost(port);
        }
        else if (System.Net.IPAddress.TryParse(host, out System.Net.IPAddress? address))
        {
            kestrel.Listen(address, port);
        }
        else
        {
            kestrel.ListenAnyIP(port);
        }
    }
}
