using System.Globalization;
using System.Net.Security;
using System.Security.Authentication;
using System.Security.Cryptography.X509Certificates;
using MQTTnet;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>Encryption of a connection: our certificate, whose the broker's must be, and in plain words what is wrong with either.</summary>
internal sealed class BrokerTls(Broker broker, TimeProvider time)
{
    private volatile string? _found;

    /// <summary>What is wrong with our own certificate's time; null if nothing is, or there is none.</summary>
    /// <remarks>A broker that refuses it closes the connection without a word that arrives (TLS 1.3).</remarks>
    public string? ExpiredOfOurs()
    {
        _found = null;
        if (!broker.Tls || broker.CertificateFile is not { } file)
        {
            return null;
        }

        using X509Certificate2 own = X509CertificateLoader.LoadCertificateFromFile(file);
        return OutOfTime(own) is { } words ? $"Our certificate {file} {words} Renew it." : null;
    }

    public void Apply(MqttClientTlsOptionsBuilder tls)
    {
        tls.UseTls().WithTargetHost(broker.Host).WithCertificateValidationHandler(Accepts);
        if (broker.AuthorityFile is { } authority)
        {
            var chain = new X509Certificate2Collection();
            chain.ImportFromPemFile(authority);
            tls.WithTrustChain(chain).WithRevocationMode(X509RevocationMode.NoCheck);
        }

        if (broker.CertificateFile is { } certificate)
        {
            using X509Certificate2 pem = X509Certificate2.CreateFromPemFile(certificate, broker.KeyFile);
            tls.WithClientCertificates([X509CertificateLoader.LoadPkcs12(pem.Export(X509ContentType.Pkcs12), null)]);
        }
    }

    /// <summary>What a failed connection says of encryption; null if it failed for something else.</summary>
    public string? WordsOf(Exception fault)
    {
        for (Exception? at = fault; at is not null; at = at.InnerException)
        {
            if (at is AuthenticationException)
            {
                return _found ?? at.Message;
            }
        }

        return null;
    }

    private bool Accepts(MqttClientCertificateValidationEventArgs seen)
    {
        if (seen.SslPolicyErrors == SslPolicyErrors.None)
        {
            return true;
        }

        using var certificate = seen.Certificate is null ? null : X509CertificateLoader.LoadCertificate(seen.Certificate.GetRawCertData());
        _found = certificate is null ? "the broker shows no certificate."
            : OutOfTime(certificate) is { } words ? $"the broker's certificate ({certificate.Subject}) {words} Renew it on the broker."
            : seen.SslPolicyErrors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch) ? $"the broker's certificate ({certificate.Subject}) is not for \"{broker.Host}\". Write the name that it is for as host."
            : $"the broker's certificate ({certificate.Subject}) is signed by nobody who is trusted here ({certificate.Issuer}). Name the authority's file as authority.";
        return false;
    }

    private string? OutOfTime(X509Certificate2 certificate)
    {
        DateTime now = time.GetUtcNow().UtcDateTime, from = certificate.NotBefore.ToUniversalTime(), until = certificate.NotAfter.ToUniversalTime();
        return now > until ? string.Create(CultureInfo.InvariantCulture, $"has expired: it was valid until {until:yyyy-MM-dd HH:mm} UTC.")
            : now < from ? string.Create(CultureInfo.InvariantCulture, $"is not valid before {from:yyyy-MM-dd HH:mm} UTC.")
            : null;
    }
}
