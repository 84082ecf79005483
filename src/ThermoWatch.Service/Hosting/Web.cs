using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.SignalR;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Hosting;

/// <summary>The pages, the live hub and what other programs ask for.</summary>
internal static class Web
{
    private const int MostBytesSaid = 4 << 20;

    /// <param name="parts">What is served; asked for when somebody asks the host for something, not before.</param>
    /// <param name="logs">Where the host logs to.</param>
    public static WebApplication Build(Func<WebParts> parts, ILoggerFactory logs)
    {
        // The content lies beside the program and is listed under its name, wherever and by whomever it was started.
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions
        {
            ContentRootPath = AppContext.BaseDirectory,
            ApplicationName = typeof(Web).Assembly.GetName().Name,
        });
        builder.WebHost.UseStaticWebAssets();
        builder.WebHost.ConfigureKestrel(kestrel => kestrel.Limits.MaxRequestBodySize = MostBytesSaid); // what people say goes into the record for good
        builder.Services.AddSingleton(logs);
        builder.Services.AddSingleton(_ => parts().Cells);
        builder.Services.AddSingleton(_ => parts().Catalogue);
        builder.Services.AddSingleton(_ => parts().Viewers);
        builder.Services.AddSingleton(_ => parts().Record);
        builder.Services.AddSingleton(_ => parts().Keeper);
        builder.Services.AddSingleton(_ => parts().Probes);
        builder.Services.AddSingleton(_ => parts().Rejudging);
        builder.Services.AddSingleton(_ => parts().Feeds);
        builder.Services.AddSingleton(_ => new NodeClock(parts().Time)); // under a name of our own: the host looks for a TimeProvider while it is built
        builder.Services.AddApi();
        builder.Services.AddSignalR(hub => hub.KeepAliveInterval = TimeSpan.FromSeconds(5)).AddMessagePackProtocol();
        builder.Services.AddSingleton<HubLifetimeManager<LiveHub>, LiveConnections>();

        WebApplication app = builder.Build();
        app.UseStatusCodePages();
        app.UseBadRequests();
        app.UseCompressedWebSockets();
        app.MapStaticAssets();
        app.MapApi();
        app.MapSchemas();
        app.MapMetrics();
        app.MapHub<LiveHub>("/hubs/live");
        app.MapGet("/healthz/live", () => Results.Text("alive"));
        app.MapGet("/healthz/ready", () => Results.Text("ready"));
        app.MapFallbackToFile("index.html");
        return app;
    }

    /// <summary>Says where to listen: this computer alone, one of its addresses, or, for any other name, all of them.</summary>
    public static void ListenAt(this WebApplication app, string host, int port)
    {
        app.Urls.Clear();
        app.Urls.Add(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"http://{Address(host)}:{port}"));
    }

    /// <summary>What to tell a person whose port is taken; null if that is not the trouble.</summary>
    public static string? PortInUse(Exception error, int port, string verb) => error switch
    {
        AddressInUseException or IOException { InnerException: AddressInUseException } =>
            $"Port {port} is already in use by another program. Choose another: thermowatch {verb} --port {port + 1}",
        _ => null,
    };

    private static string Address(string host) => System.Net.IPAddress.TryParse(host, out System.Net.IPAddress? address)
        ? address.AddressFamily == System.Net.Sockets.AddressFamily.InterNetworkV6 ? $"[{address}]" : $"{address}"
        : host == "localhost" ? host : "*";
}
