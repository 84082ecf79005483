using System.Diagnostics;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text.Json;
using MQTTnet;
using MQTTnet.Protocol;
using ThermoWatch.Tests;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>A broker that we did not write.</summary>
internal sealed class Mosquitto : IDisposable
{
    private Peer _peer = null!;

    public int Port { get; } = FreePorts.Next();

    public int TlsPort { get; } = FreePorts.Next();

    public string Folder { get; } = Directory.CreateTempSubdirectory("mosquitto").FullName;

    /// <summary>Starts it with an open listener; or with one that asks for user and password and one with TLS that asks for a certificate.</summary>
    /// <param name="guarded">Which.</param>
    /// <param name="expired">Whose certificate is a day too old: server or client.</param>
    public static async Task<Mosquitto> StartAsync(bool guarded = false, string expired = "")
    {
        var broker = new Mosquitto();
        if (guarded)
        {
            broker.MakeCertificates(expired);
            System.IO.File.WriteAllText(broker.File("passwords"), "feed:s3cret\n");
            using var pack = Process.Start(Peers.Program("mosquitto_passwd", "mosquitto"), ["-U", broker.File("passwords")]);
            await pack.WaitForExitAsync(TestContext.Current.CancellationToken);
        }

        await broker.BeginAsync(guarded);
        return broker;
    }

    public string File(string name) => Path.Combine(Folder, name);

    public void Kill() => _peer.Kill();

    public async Task BeginAsync(bool guarded = false)
    {
        System.IO.File.WriteAllText(File("mosquitto.conf"), guarded
            ? $"""
              user root
              per_listener_settings true
              listener {Port} 127.0.0.1
              allow_anonymous false
              password_file {File("passwords")}
              listener {TlsPort} 127.0.0.1
              allow_anonymous true
              cafile {File("ca.pem")}
              certfile {File("server.pem")}
              keyfile {File("server.key")}
              require_certificate true
              """
            : $"user root\nlistener {Port} 127.0.0.1\nallow_anonymous true\nmax_queued_messages 0\n");
        _peer = await Peer.StartAsync("mosquitto", "mosquitto", Port, _ => ["-c", File("mosquitto.conf")], Folder);
    }

    public void Dispose()
    {
        _peer.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    private void MakeCertificates(string expired)
    {
        using var authorityKey = RSA.Create(2048);
        var request = new CertificateRequest("CN=Test authority", authorityKey, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(true, false, 0, true));
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        using X509Certificate2 authority = request.CreateSelfSigned(now.AddYears(-2), now.AddYears(1));
        System.IO.File.WriteAllText(File("ca.pem"), authority.ExportCertificatePem());
        foreach (string name in (string[])["server", "client"])
        {
            using var key = RSA.Create(2048);
            var own = new CertificateRequest($"CN={(name == "server" ? "localhost" : "thermowatch")}", key, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1);
            var names = new SubjectAlternativeNameBuilder();
            names.AddDnsName("localhost");
            own.CertificateExtensions.Add(names.Build());
            DateTimeOffset until = expired == name ? now.AddDays(-1) : now.AddMonths(6);
            using X509Certificate2 signed = own.Create(authority, now.AddYears(-1), until, [(byte)name[0], 1, 2, 3]);
            System.IO.File.WriteAllText(File(name + ".pem"), signed.ExportCertificatePem());
            System.IO.File.WriteAllText(File(name + ".key"), key.ExportPkcs8PrivateKeyPem());
        }
    }
}

/// <summary>Somebody who listens to a broker.</summary>
internal sealed class Listener : IAsyncDisposable
{
    private readonly IMqttClient _client = new MqttClientFactory().CreateMqttClient();
    private readonly Lock _gate = new();
    private readonly List<(string Topic, byte[] Payload, bool Retained, int Quality)> _messages = [];

    public IReadOnlyList<(string Topic, byte[] Payload, bool Retained, int Quality)> Messages
    {
        get
        {
            lock (_gate)
            {
                return [.. _messages];
            }
        }
    }

    /// <param name="port">The broker's.</param>
    /// <param name="filter">What it listens to.</param>
    /// <param name="heard">Told of each message as it comes.</param>
    public static async Task<Listener> StartAsync(int port, string filter = "#", Action<string, byte[]>? heard = null)
    {
        var listener = new Listener();
        listener._client.ApplicationMessageReceivedAsync += e =>
        {
            heard?.Invoke(e.ApplicationMessage.Topic, System.Buffers.BuffersExtensions.ToArray(e.ApplicationMessage.Payload));
            lock (listener._gate)
            {
                listener._messages.Add((e.ApplicationMessage.Topic, System.Buffers.BuffersExtensions.ToArray(e.ApplicationMessage.Payload), e.ApplicationMessage.Retain, (int)e.ApplicationMessage.QualityOfServiceLevel));
            }

            return Task.CompletedTask;
        };
        await listener._client.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", port).WithClientId("listener" + Guid.NewGuid().ToString("N")).Build());
        await listener._client.SubscribeAsync(filter, MqttQualityOfServiceLevel.AtLeastOnce);
        return listener;
    }

    public Task PublishAsync(string topic, byte[] payload, bool retain = false) =>
        _client.PublishAsync(new MqttApplicationMessage { Topic = topic, PayloadSegment = payload, Retain = retain, QualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce });

    /// <summary>Waits until what has come suffices.</summary>
    public async Task<IReadOnlyList<(string Topic, byte[] Payload, bool Retained, int Quality)>> UntilAsync(Func<IReadOnlyList<(string Topic, byte[] Payload, bool Retained, int Quality)>, bool> enough)
    {
        var waited = Stopwatch.StartNew();
        while (!enough(Messages))
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(15), "It did not come within 15 s: " + string.Join(", ", Messages.Select(m => m.Topic).Distinct()));
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }

        return Messages;
    }

    public static JsonElement Json(byte[] payload) => JsonSerializer.Deserialize<JsonElement>(payload);

    public async ValueTask DisposeAsync()
    {
        await _client.DisconnectAsync();
        _client.Dispose();
    }
}
