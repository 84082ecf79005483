using System.Globalization;
using System.Net.Security;
using System.Security.Cryptography.X509Certificates;
using System.Text.Json;

namespace ThermoWatch.Feeds;

/// <summary>The way to an HTTP server: its certificate is signed by whom the computer trusts, or by an authority of the plant's own.</summary>
/// <remarks>No redirect is followed: what is posted may become a mere question on the way, and who answers that has taken nothing.</remarks>
internal sealed class HttpWay : IDisposable
{
    private const int MostWords = 500;
    private readonly string? _authorityFile;
    private readonly TimeProvider _time;
    private HttpClient? _client;
    private volatile string? _found;

    /// <param name="authorityFile">File of the authority (PEM) that has signed the server's certificate; null: those that the computer trusts.</param>
    /// <param name="time">By which certificates expire; null: the computer's clock.</param>
    public HttpWay(string? authorityFile, TimeProvider? time = null) => (_authorityFile, _time) = (authorityFile, time ?? TimeProvider.System);

    /// <param name="handler">For tests, instead of sockets.</param>
    public HttpWay(HttpMessageHandler handler)
        : this((string?)null) => _client = new HttpClient(handler) { Timeout = Timeout.InfiniteTimeSpan };

    /// <summary>Sends a request. What the network or the other side can do is an answer, not an exception; only cancelling throws.</summary>
    public async Task<HttpAnswer> SendAsync(HttpRequestMessage request, CancellationToken stopping)
    {
        string host = request.RequestUri!.Host;
        try
        {
            if (_client is null && Open(host) is { } problem)
            {
                return HttpAnswer.Ours(problem);
            }

            using HttpResponseMessage answer = await _client!.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, stopping).ConfigureAwait(false);
            int status = (int)answer.StatusCode;
            bool isPage = answer.Content.Headers.ContentType?.MediaType == "text/html";
            string words = answer.IsSuccessStatusCode || isPage ? "" : WordsOf(await answer.Content.ReadAsStringAsync(stopping).ConfigureAwait(false));
            if (status is >= 300 and < 400)
            {
                words = Elsewhere(status, answer.Headers.Location);
            }

            if (words.Length == 0 && !answer.IsSuccessStatusCode)
            {
                words = string.Create(CultureInfo.InvariantCulture, $"HTTP {status}");
            }

            return new HttpAnswer(status, words, answer.Headers.RetryAfter?.Delta) { IsPage = isPage };
        }
        catch (HttpRequestException fault) when (NetworkFault.OfEncryption(fault, "server") is { } said)
        {
            return HttpAnswer.Ours($"No encrypted connection to {host}: {_found ?? said}");
        }
        catch (Exception fault) when (fault is HttpRequestException or IOException)
        {
            return new HttpAnswer(0, NetworkFault.WordsOf(fault, host, request.RequestUri.Port));
        }
        catch (OperationCanceledException) when (!stopping.IsCancellationRequested)
        {
            return new HttpAnswer(0, NetworkFault.Unreached(request.RequestUri.Authority));
        }
    }

    public void Dispose() => _client?.Dispose();

    /// <summary>Words of an error body: the message of a JSON body, else its beginning.</summary>
    internal static string WordsOf(string body)
    {
        try
        {
            using var json = JsonDocument.Parse(body);
            foreach (string key in (string[])["message", "error", "detail"])
            {
                if (json.RootElement.ValueKind == JsonValueKind.Object && json.RootElement.TryGetProperty(key, out JsonElement words)
                    && words.ValueKind == JsonValueKind.String && words.GetString() is { Length: > 0 } text)
                {
                    return text;
                }
            }
        }
        catch (JsonException)
        {
            // Plain text.
        }

        return body.Length > MostWords ? body[..MostWords] : body.Trim();
    }

    /// <summary>Opens the way, once its authority's file can be read.</summary>
    /// <returns>What is wrong; null if nothing is.</returns>
    private string? Open(string host)
    {
        var tls = new SslClientAuthenticationOptions
        {
            RemoteCertificateValidationCallback = (_, shown, _, errors) =>
            {
                _found = errors == SslPolicyErrors.None ? null : PeerCertificate.Fault(shown, errors, host, "server", "in url", _time.GetUtcNow().UtcDateTime);
                return _found is null;
            },
        };
        if (_authorityFile is { } file)
        {
            if (PeerCertificate.ReadAuthority(file, out X509Certificate2Collection authority) is { } problem)
            {
                return problem;
            }

            tls.CertificateChainPolicy = new X509ChainPolicy { TrustMode = X509ChainTrustMode.CustomRootTrust, RevocationMode = X509RevocationMode.NoCheck };
            tls.CertificateChainPolicy.CustomTrustStore.AddRange(authority);
        }

        _client = new HttpClient(new SocketsHttpHandler
        {
            AllowAutoRedirect = false,
            UseCookies = false,
            PooledConnectionLifetime = TimeSpan.FromMinutes(5),
            ConnectTimeout = TimeSpan.FromSeconds(5),
            SslOptions = tls,
        })
        {
            Timeout = Timeout.InfiniteTimeSpan, // whoever calls has a deadline
        };
        return null;
    }

    /// <summary>Where it would have us go, without what may be a secret.</summary>
    private static string Elsewhere(int status, Uri? to)
    {
        string where = to is null ? "elsewhere" : "to " + (to.IsAbsoluteUri ? to.GetLeftPart(UriPartial.Path) : to.OriginalString.Split('?')[0]);
        return string.Create(CultureInfo.InvariantCulture, $"The server sends us {where} (HTTP {status}), and nothing is sent there unasked. Write the address that takes it as url.");
    }
}

/// <summary>What a server answered.</summary>
/// <param name="Status">HTTP status; zero if no answer came, 401 if a secret or a file is missing on our side, or the server's certificate is not trusted.</param>
/// <param name="Words">What it said, or what is wrong with the way to it; empty if it took what it was sent.</param>
/// <param name="RetryAfter">How long it asks us to wait; null if it does not say.</param>
internal readonly record struct HttpAnswer(int Status, string Words, TimeSpan? RetryAfter = null)
{
    /// <summary>Whether it is no answer of the other side: something is missing on ours, and the words say what to do.</summary>
    public bool IsOurs { get; private init; }

    /// <summary>Nothing was sent, or nobody trusted was there to take it.</summary>
    public static HttpAnswer Ours(string words) => new(401, words) { IsOurs = true };

    /// <summary>Its words, and what to do.</summary>
    public string WithRemedy(string remedy) => IsOurs || Status < 400 ? Words : $"{Words.TrimEnd('.')}. {remedy}";

    /// <summary>Whether it answered with a page for people, as whoever stands in front of a server does.</summary>
    public bool IsPage { get; init; }
}
