using System.Net;
using System.Net.Http.Json;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text.Json;

namespace ThermoWatch.Tests.Servers;

/// <summary>What an outside server has taken.</summary>
/// <param name="Headers">Headers of the request, in small letters.</param>
/// <param name="Body">Its body, unpacked.</param>
internal sealed record TakenRequest(Dictionary<string, string> Headers, string Body);

/// <summary>An HTTP server in Node, a process of its own, that treats its clients as it is told (<c>http_server.mjs</c>).</summary>
internal sealed class HttpServer : IDisposable
{
    private static readonly HttpClient s_http = new();
    private readonly Peer _peer;

    private HttpServer(Peer peer, int port, string? certificate) => (_peer, Port, CertificateFile) = (peer, port, certificate);

    public int Port { get; }

    /// <summary>Its certificate, which it has signed itself; null if it speaks in clear.</summary>
    public string? CertificateFile { get; }

    public Uri Address => new($"http://127.0.0.1:{Port}/events");

    /// <summary>Starts it.</summary>
    /// <param name="port">Its port; null: a free one.</param>
    /// <param name="certified">Whether it speaks TLS, with a certificate that it has signed itself and that is good for so many days from now; negative: until then in the past.</param>
    public static async Task<HttpServer> StartAsync(int? port = null, int? certified = null)
    {
        int on = port ?? FreePorts.Next();
        string script = Path.Combine(Repository.Root, "tests", "Shared", "Servers", "http_server.mjs");
        string? file = null;
        Peer peer = await Peer.StartAsync("node", "nodejs", on, home =>
        {
            file = certified is null ? null : Path.Combine(home, "server.pem");
            return certified is { } days ? [script, $"{on}", .. Certificate(home, days)] : [script, $"{on}"];
        });
        return new HttpServer(peer, on, file);
    }

    /// <summary>How the next requests are treated, one each.</summary>
    public async Task TreatsAsync(params object[] script) => (await s_http.PostAsJsonAsync($"http://127.0.0.1:{Port}/script", script)).Dispose();

    /// <summary>From now on lines that contain a text are refused.</summary>
    public async Task RefusesAsync(string text) => (await s_http.PostAsync($"http://127.0.0.1:{Port}/refuse", new StringContent(text))).Dispose();

    /// <summary>From now on this authorization is asked for.</summary>
    public async Task WantsAsync(string authorization) => (await s_http.PostAsync($"http://127.0.0.1:{Port}/secret", new StringContent(authorization))).Dispose();

    public async Task<TakenRequest[]> TakenAsync() =>
        (await s_http.GetFromJsonAsync<TakenRequest[]>($"http://127.0.0.1:{Port}/got", JsonSerializerOptions.Web))!;

    public void Dispose() => _peer.Dispose();

    private static string[] Certificate(string home, int days)
    {
        using var key = RSA.Create(2048);
        var request = new CertificateRequest("CN=localhost", key, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1);
        var names = new SubjectAlternativeNameBuilder();
        names.AddIpAddress(IPAddress.Loopback);
        request.CertificateExtensions.Add(names.Build());
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        using X509Certificate2 certificate = request.CreateSelfSigned(now.AddYears(-1), now.AddDays(days));
        (string file, string keyFile) = (Path.Combine(home, "server.pem"), Path.Combine(home, "server.key"));
        File.WriteAllText(file, certificate.ExportCertificatePem());
        File.WriteAllText(keyFile, key.ExportPkcs8PrivateKeyPem());
        return [file, keyFile];
    }
}
