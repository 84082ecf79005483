using System.Net.Security;
using System.Security.Cryptography.X509Certificates;
using MQTTnet;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>Encryption of a connection: our certificate, whose the broker's must be, and in plain words what is wrong with either.</summary>
internal sealed class BrokerTls(Broker broker, TimeProvider time)
{
    private volatile string? _found;
    private X509Certificate2Collection _authority = [];
    private X509Certificate2? _own;

    private DateTime NowUtc => time.GetUtcNow().UtcDateTime;

    /// <summary>Reads the files anew, so that what was renewed needs no restart.</summary>
    /// <returns>What is wrong on our side; null if nothing is.</returns>
    /// <remarks>A broker that refuses an expired certificate closes the connection without a word that arrives (TLS 1.3): it must be said here.</remarks>
    public string? Prepare()
    {
        _found = null;
        _own?.Dispose();
        _own = null;
        return !broker.Tls ? null
            : (broker.AuthorityFile is { } authority ? PeerCertificate.ReadAuthority(authority, out _authority) : null)
            ?? (broker.CertificateFile is { } certificate ? PeerCertificate.ReadOwn(certificate, broker.KeyFile, NowUtc, out _own) : null);
    }

    public void Apply(MqttClientTlsOptionsBuilder tls)
    {
        tls.UseTls().WithTargetHost(broker.Host).WithCertificateValidationHandler(Accepts);
        if (_authority.Count > 0)
        {
            tls.WithTrustChain(_authority).WithRevocationMode(X509RevocationMode.NoCheck);
        }

        if (_own is { } own)
        {
            tls.WithClientCertificates([own]);
        }
    }

    /// <summary>What a failed connection says of encryption; null if it failed for something else.</summary>
    public string? WordsOf(Exception fault) => broker.Tls && NetworkFault.OfEncryption(fault, "broker") is { } words ? _found ?? words : null;

    private bool Accepts(MqttClientCertificateValidationEventArgs seen)
    {
        if (seen.SslPolicyErrors == SslPolicyErrors.None)
        {
            return true;
        }

        _found = PeerCertificate.Fault(seen.Certificate, seen.SslPolicyErrors, broker.Host, "broker", "as host", NowUtc);
        return false;
    }
}
