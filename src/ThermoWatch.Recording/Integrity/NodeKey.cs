using System.Security.Cryptography;

namespace ThermoWatch.Recording.Integrity;

/// <summary>The key with which a node signs what it says about its record: ECDSA on the curve P-256 (FIPS 186-5).</summary>
/// <remarks>
/// The private key lies in the data folder, readable by the service's user alone, and is in no backup: a restored node
/// makes a new one. Every public key is noted in the chain of events.
/// </remarks>
public sealed class NodeKey : IDisposable
{
    /// <summary>Name of the private key's file in the data folder: PKCS #8 as PEM.</summary>
    public const string FileName = "node.key";

    /// <summary>Name of the public key's file in the data folder: SubjectPublicKeyInfo as PEM.</summary>
    public const string PublicFileName = "node.pub";

    private readonly ECDsa _key;

    private NodeKey(ECDsa key) => _key = key;

    /// <summary>The public key, SubjectPublicKeyInfo as PEM: for everybody who is to check signatures.</summary>
    public string PublicKey => _key.ExportSubjectPublicKeyInfoPem() + "\n";

    /// <summary>Opens a node's key, or makes one.</summary>
    /// <param name="data">The data folder.</param>
    /// <returns>The key, or why there is none and what to do.</returns>
    public static (NodeKey? Key, string? Problem) Open(string data)
    {
        string path = Path.Combine(data, FileName);
        try
        {
            ECDsa key;
            if (File.Exists(path))
            {
                key = ECDsa.Create();
                key.ImportFromPem(File.ReadAllText(path));
            }
            else
            {
                key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
                WriteForOwner(path, key.ExportPkcs8PrivateKeyPem() + "\n");
            }

            var node = new NodeKey(key);
            File.WriteAllText(Path.Combine(data, PublicFileName), node.PublicKey);
            return (node, null);
        }
        catch (Exception fault) when (fault is ArgumentException or CryptographicException)
        {
            return (null, $"{path} holds no key that can be read ({fault.Message}). Put it back from where it is kept, or move it away and a new one is made.");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return (null, $"{path} cannot be used: {fault.Message} The service's user must be able to read it, and to write beside it.");
        }
    }

    /// <summary>Signs bytes: SHA-256, the signature as a DER sequence (RFC 3279), as common tools check it.</summary>
    public byte[] Sign(ReadOnlySpan<byte> bytes) => _key.SignData(bytes, HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);

    /// <summary>Whether a signature is of these bytes and of the key's owner; false also for what is no key or no signature.</summary>
    public static bool IsSigned(ReadOnlySpan<byte> bytes, ReadOnlySpan<byte> signature, string publicKey)
    {
        try
        {
            using var key = ECDsa.Create();
            key.ImportFromPem(publicKey);
            return key.VerifyData(bytes, signature, HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
        }
        catch (Exception fault) when (fault is ArgumentException or CryptographicException)
        {
            return false;
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _key.Dispose();

    private static void WriteForOwner(string path, string text)
    {
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite; // from its first byte on, not afterwards
        }

        using var writer = new StreamWriter(new FileStream(path, options));
        writer.Write(text);
    }
}
