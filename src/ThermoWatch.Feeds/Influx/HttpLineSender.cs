using System.Globalization;
using System.IO.Compression;
using System.Net.Http.Headers;
using System.Text;

namespace ThermoWatch.Feeds.Influx;

/// <summary>Hands lines over as the bytes that they are, by the write calls of versions 1 and 2.</summary>
internal sealed class HttpLineSender : ILineSender
{
    private readonly LineServer _server;
    private readonly HttpClient _client;
    private readonly Uri _write;
    private readonly MemoryStream _packed = new();

    /// <param name="server">Where to.</param>
    /// <param name="handler">For tests; null: sockets.</param>
    public HttpLineSender(LineServer server, HttpMessageHandler? handler = null)
    {
        _server = server;
        _client = new HttpClient(handler ?? new SocketsHttpHandler { PooledConnectionLifetime = TimeSpan.FromMinutes(5), ConnectTimeout = TimeSpan.FromSeconds(5) })
        {
            Timeout = Timeout.InfiniteTimeSpan, // whoever calls has a deadline
        };
        string precision = server.Precision switch { LinePrecision.Nanoseconds => "ns", LinePrecision.Microseconds => "us", _ => "ms" };
        _write = new Uri(server.Url.AbsoluteUri.TrimEnd('/') + (server.Version == 1
            ? $"/write?db={Uri.EscapeDataString(server.Bucket)}&precision={(precision == "us" ? "u" : precision)}"
            : $"/api/v2/write?org={Uri.EscapeDataString(server.Organisation)}&bucket={Uri.EscapeDataString(server.Bucket)}&precision={precision}"));
    }

    public string Address => _server.ToString();

    public async Task<LineAnswer> SendAsync(ReadOnlyMemory<byte> lines, CancellationToken stopping)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, _write);
        if (_server.Token is { } secret)
        {
            if (!secret.TryRead(out string token, out string problem))
            {
                return new LineAnswer(401, problem);
            }

            request.Headers.Authorization = _server.User is { } user
                ? new AuthenticationHeaderValue("Basic", Convert.ToBase64String(Encoding.UTF8.GetBytes($"{user}:{token}")))
                : new AuthenticationHeaderValue("Token", token);
        }

        request.Content = _server.Gzip ? Pack(lines) : new ReadOnlyMemoryContent(lines);
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("text/plain", "utf-8");
        try
        {
            using HttpResponseMessage answer = await _client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, stopping).ConfigureAwait(false);
            string body = answer.IsSuccessStatusCode ? "" : LineAnswer.WordsOf(await answer.Content.ReadAsStringAsync(stopping).ConfigureAwait(false));
            int status = (int)answer.StatusCode;
            return new LineAnswer(status, body.Length > 0 || answer.IsSuccessStatusCode ? body : string.Create(CultureInfo.InvariantCulture, $"HTTP {status}"), answer.Headers.RetryAfter?.Delta);
        }
        catch (HttpRequestException fault) when (TlsFault.Of(fault, _write.Host) is { } words)
        {
            return new LineAnswer(401, words);
        }
        catch (Exception fault) when (fault is HttpRequestException or IOException)
        {
            return new LineAnswer(0, fault.GetBaseException().Message);
        }
    }

    public void Dispose() => _client.Dispose();

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
