using System.IO.Compression;
using System.Net.Http.Headers;
using System.Text;

namespace ThermoWatch.Feeds.Influx;

/// <summary>Hands lines over as the bytes that they are, by the write calls of versions 1 and 2.</summary>
internal sealed class HttpLineSender : ILineSender
{
    private readonly LineServer _server;
    private readonly HttpWay _way;
    private readonly Uri _write;
    private readonly MemoryStream _packed = new();

    /// <param name="server">Where to.</param>
    /// <param name="handler">For tests; null: sockets.</param>
    public HttpLineSender(LineServer server, HttpMessageHandler? handler = null)
    {
        _server = server;
        _way = handler is null ? new HttpWay(server.AuthorityFile) : new HttpWay(handler);
        string precision = server.Precision switch { LinePrecision.Nanoseconds => "ns", LinePrecision.Microseconds => "us", _ => "ms" };
        _write = new Uri(server.Url.AbsoluteUri.TrimEnd('/') + (server.Version == 1
            ? $"/write?db={Uri.EscapeDataString(server.Bucket)}&precision={(precision == "us" ? "u" : precision)}"
            : $"/api/v2/write?org={Uri.EscapeDataString(server.Organisation)}&bucket={Uri.EscapeDataString(server.Bucket)}&precision={precision}"));
    }

    public string Address => _server.ToString();

    public async Task<HttpAnswer> SendAsync(ReadOnlyMemory<byte> lines, CancellationToken stopping)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, _write);
        if (_server.Token is { } secret)
        {
            if (!secret.TryRead(out string token, out string problem))
            {
                return HttpAnswer.Ours(problem);
            }

            request.Headers.Authorization = _server.User is { } user
                ? new AuthenticationHeaderValue("Basic", Convert.ToBase64String(Encoding.UTF8.GetBytes($"{user}:{token}")))
                : new AuthenticationHeaderValue("Token", token);
        }

        request.Content = _server.Gzip ? Pack(lines) : new ReadOnlyMemoryContent(lines);
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("text/plain", "utf-8");
        return await _way.SendAsync(request, stopping).ConfigureAwait(false);
    }

    public void Dispose() => _way.Dispose();

    private ByteArrayContent Pack(ReadOnlyMemory<byte> lines)
    {
        _packed.SetLength(0);
        using (var gzip = new GZipStream(_packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            gzip.Write(lines.Span);
        }

        var content = new ByteArrayContent(_packed.GetBuffer(), 0, (int)_packed.Length);
        content.Headers.ContentEncoding.Add("gzip");
        return content;
    }
}
