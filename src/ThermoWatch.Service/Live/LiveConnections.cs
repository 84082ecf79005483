using Microsoft.AspNetCore.SignalR;

namespace ThermoWatch.Service.Live;

/// <summary>Lets the hub reach its callers' connections themselves: they take bytes that were made once for many, which a client proxy does not.</summary>
internal sealed class LiveConnections : DefaultHubLifetimeManager<LiveHub>
{
    public LiveConnections(ILogger<DefaultHubLifetimeManager<LiveHub>> log)
        : base(log)
    {
    }

    public override Task OnConnectedAsync(HubConnectionContext connection)
    {
        connection.Features.Set(connection);
        return base.OnConnectedAsync(connection);
    }

    /// <summary>The connection of a call.</summary>
    public static HubConnectionContext Of(HubCallerContext caller) => caller.Features.Get<HubConnectionContext>()
        ?? throw new InvalidOperationException("The hub was called by a connection that it was not told of.");
}
