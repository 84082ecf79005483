using System.Globalization;
using System.Net.Security;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace ThermoWatch.Feeds;

/// <summary>What is wrong with a certificate, and what to do about it, in plain words.</summary>
internal static class PeerCertificate
{
    /// <summary>Why the certificate that the other side shows is not believed.</summary>
    /// <param name="shown">It; null if it shows none.</param>
    /// <param name="errors">What the check of it has found.</param>
    /// <param name="host">The name that we have called.</param>
    /// <param name="who">What the other side is: broker, server.</param>
    /// <param name="where">Where the configuration says that name: as host, in url.</param>
    /// <param name="nowUtc">By which certificates expire.</param>
    public static string Fault(X509Certificate? shown, SslPolicyErrors errors, string host, string who, string where, DateTime nowUtc)
    {
        using X509Certificate2? certificate = shown is null ? null : X509CertificateLoader.LoadCertificate(shown.GetRawCertData());
        return certificate is null ? $"the {who} shows no certificate."
            : OutOfTime(certificate, nowUtc) is { } words ? $"the {who}'s certificate ({certificate.Subject}) {words} Renew it on the {who}."
            : errors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch) ? $"the {who}'s certificate ({certificate.Subject}) is not for \"{host}\". Write the name that it is for {where}."
            : $"the {who}'s certificate ({certificate.Subject}) is signed by nobody who is trusted here ({certificate.Issuer}). Name the authority's file as authority.";
    }

    /// <summary>Why a certificate is not good at this time; null if it is.</summary>
    public static string? OutOfTime(X509Certificate2 certificate, DateTime nowUtc)
    {
        DateTime from = certificate.NotBefore.ToUniversalTime(), until = certificate.NotAfter.ToUniversalTime();
        return nowUtc > until ? string.Create(CultureInfo.InvariantCulture, $"has expired: it was valid until {until:yyyy-MM-dd HH:mm} UTC.")
            : nowUtc < from ? string.Create(CultureInfo.InvariantCulture, $"is not valid before {from:yyyy-MM-dd HH:mm} UTC.")
            : null;
    }

    /// <summary>Reads the certificates of an authority.</summary>
    /// <param name="file">A PEM file.</param>
    /// <param name="authority">They; empty after a problem.</param>
    /// <returns>What is wrong; null if nothing is.</returns>
    public static string? ReadAuthority(string file, out X509Certificate2Collection authority)
    {
        authority = [];
        try
        {
            authority.ImportFromPemFile(file);
            return authority.Count > 0 ? null : $"The authority's file {file} holds no certificate. Name a PEM file that does.";
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or CryptographicException)
        {
            return $"The authority's file cannot be read: {fault.Message} Name a PEM file that the service's user may read.";
        }
    }

    /// <summary>Reads a certificate of our own with its key.</summary>
    /// <param name="file">The certificate, a PEM file.</param>
    /// <param name="keyFile">Its key, a PEM file.</param>
    /// <param name="nowUtc">By which it expires.</param>
    /// <param name="own">It; null after a problem.</param>
    /// <returns>What is wrong; null if nothing is.</returns>
    public static string? ReadOwn(string file, string? keyFile, DateTime nowUtc, out X509Certificate2? own)
    {
        own = null;
        try
        {
            using X509Certificate2 pem = X509Certificate2.CreateFromPemFile(file, keyFile);
            if (OutOfTime(pem, nowUtc) is { } words)
            {
                return $"Our certificate {file} {words} Renew it.";
            }

            // A key as it comes from PEM is not taken everywhere.
            own = X509CertificateLoader.LoadPkcs12(pem.Export(X509ContentType.Pkcs12), null);
            return null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or CryptographicException)
        {
            return $"Our certificate {file} with the key {keyFile} cannot be used: {fault.Message} Name PEM files that belong together and that the service's user may read.";
        }
    }
}
