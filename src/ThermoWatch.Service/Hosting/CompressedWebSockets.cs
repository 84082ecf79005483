using System.Net.WebSockets;
using Microsoft.AspNetCore.Http.Features;

namespace ThermoWatch.Service.Hosting;

/// <summary>Offers permessage-deflate (RFC 7692) to the live connections, which the hub itself cannot ask for.</summary>
/// <remarks>
/// What is long, a whole state or a refill, names its keys so that outside programs can read it; compressed, the names cost
/// next to nothing. Frames and changes are short and go as they are, which the RFC allows message by message (section 6).
/// The danger in the option's name is a secret beside text that an attacker chooses: nothing here is secret.
/// </remarks>
internal static class CompressedWebSockets
{
    public static void UseCompressedWebSockets(this WebApplication app)
    {
        app.UseWebSockets();
        app.Use((context, next) =>
        {
            if (context.Features.Get<IHttpWebSocketFeature>() is { IsWebSocketRequest: true } feature)
            {
                context.Features.Set<IHttpWebSocketFeature>(new Deflating(feature));
            }

            return next(context);
        });
    }

    private sealed class Deflating : IHttpWebSocketFeature
    {
        private readonly IHttpWebSocketFeature _inner;

        public Deflating(IHttpWebSocketFeature inner) => _inner = inner;

        public bool IsWebSocketRequest => true;

        public async Task<WebSocket> AcceptAsync(WebSocketAcceptContext context)
        {
            context.DangerousEnableCompression = true;
            // 4 KiB of history hold dozens of frames; the default 32 KiB would cost each viewer eight times the memory.
            context.ServerMaxWindowBits = 12;
            return new LongDeflated(await _inner.AcceptAsync(context));
        }
    }
}
