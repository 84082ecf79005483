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

    private HttpServer(Peer peer, int port) => (_peer, Port) = (peer, port);

    public int Port { get; }

    public Uri Address => new($"http://127.0.0.1:{Port}/events");

    /// <summary>Starts it.</summary>
    /// <param name="port">Its port; null: a free one.</param>
    /// <param name="expired">Whether it speaks TLS with a certificate that was good until yesterday.</param>
    public static async Task<HttpServer> StartAsync(int? port = null, bool expired = false)
    {
        int on = port ?? Peer.FreePort();
        string script = Path.Combine(Repository.Root, "tests", "Shared", "Servers", "http_server.mjs");
        return new HttpServer(await Peer.StartAsync("node", "nodejs", on, home => expired ? [script, $"{on}", .. ExpiredCertificate(home)] : [script, $"{on}"]), on);
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

    private static string[] ExpiredCertificate(string home)
    {
        using var key = RSA.Create(2048);
        var request = new CertificateRequest("CN=localhost", key, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1);
        var names = new SubjectAlternativeNameBuilder();
        names.AddIpAddress(IPAddress.Loopback);
        request.CertificateExtensions.Add(names.Build());
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        using X509Certificate2 certificate = request.CreateSelfSigned(now.AddYears(-1), now.AddDays(-1));
        (string file, string keyFile) = (Path.Combine(home, "server.pem"), Path.Combine(home, "server.key"));
        File.WriteAllText(file, certificate.ExportCertificatePem());
        File.WriteAllText(keyFile, key.ExportPkcs8PrivateKeyPem());
        return [file, keyFile];
    }
}
