using System.Globalization;
using System.IO.Compression;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Chain;

/// <summary>One line of the chain of events. FORMAT.md says how it is written and how to check it without this program.</summary>
/// <param name="Number">Its number, from 1.</param>
/// <param name="Time">When it was written.</param>
/// <param name="Kind">What it tells of, one of <see cref="ChainKinds"/>.</param>
/// <param name="Body">What it tells, as JSON in UTF-8.</param>
/// <param name="Hash">64 hexadecimal digits that stand for this line and every one before it.</param>
internal sealed record ChainLine(long Number, Timestamp Time, string Kind, byte[] Body, string Hash)
{
    /// <summary>What the first line leans on.</summary>
    public static readonly string NoHash = new('0', HashDigits);

    private const int HashDigits = 64, EndLength = 9 + HashDigits + 2;

    /// <summary>A body longer than this is packed: a judged run has 40 kB of figures, and 4 of them are news.</summary>
    private const int LongestPlain = 1024;

    /// <summary>Most bytes that a packed body may have.</summary>
    private const int MostBody = 256 << 20;

    /// <summary>The line's bytes with its line feed, and its hash.</summary>
    public static (byte[] Bytes, string Hash) Write(long number, Timestamp time, string kind, ReadOnlySpan<byte> body, string previousHash)
    {
        string start = string.Create(CultureInfo.InvariantCulture, $"{{\"number\":{number},\"time\":\"{time}\",\"kind\":\"{kind}\",");
        string text = body.Length <= LongestPlain
            ? start + "\"body\":" + Encoding.UTF8.GetString(body)
            : start + "\"packed\":\"" + Convert.ToBase64String(Pack(body)) + "\"";
        byte[] front = Encoding.UTF8.GetBytes(text);
        string hash = HashOf(front, previousHash);
        return ([.. front, .. Encoding.UTF8.GetBytes($",\"hash\":\"{hash}\"}}\n")], hash);
    }

    /// <summary>Reads a line without its line feed; null if it is none. Says nothing of whether its hash is right.</summary>
    public static ChainLine? TryRead(ReadOnlySpan<byte> line)
    {
        if (line.Length <= EndLength)
        {
            return null;
        }

        try
        {
            using var json = JsonDocument.Parse(line.ToArray());
            JsonElement root = json.RootElement;
            byte[]? body = root.TryGetProperty("body", out JsonElement plain) ? Encoding.UTF8.GetBytes(plain.GetRawText())
                : root.TryGetProperty("packed", out JsonElement packed) ? Unpack(packed.GetBytesFromBase64()) : null;
            return body is null || root.GetProperty("hash").GetString() is not { Length: HashDigits } hash ? null
                : new ChainLine(root.GetProperty("number").GetInt64(), Timestamp.From(root.GetProperty("time").GetDateTimeOffset()), root.GetProperty("kind").GetString()!, body, hash);
        }
        catch (Exception fault) when (fault is JsonException or FormatException or KeyNotFoundException or InvalidOperationException or ArgumentException)
        {
            return null;
        }
    }

    /// <summary>Whether a line ends with the hash that its own bytes and the hash before it give; byte by byte, its end included.</summary>
    public static bool Fits(ReadOnlySpan<byte> line, string previousHash, out string hash)
    {
        hash = "";
        if (line.Length <= EndLength)
        {
            return false;
        }

        hash = HashOf(line[..^EndLength], previousHash);
        return line[^EndLength..].SequenceEqual(Encoding.UTF8.GetBytes($",\"hash\":\"{hash}\"}}"));
    }

    private static string HashOf(ReadOnlySpan<byte> front, string previousHash)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.ASCII.GetBytes(previousHash));
        hash.AppendData(front);
        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    private static byte[] Pack(ReadOnlySpan<byte> body)
    {
        using var packed = new MemoryStream();
        using (var brotli = new BrotliStream(packed, CompressionLevel.Optimal))
        {
            brotli.Write(body);
        }

        return packed.ToArray();
    }

    private static byte[]? Unpack(byte[] packed)
    {
        using var brotli = new BrotliStream(new MemoryStream(packed), CompressionMode.Decompress);
        using var body = new MemoryStream();
        var part = new byte[1 << 16];
        for (int got; (got = brotli.Read(part)) > 0;)
        {
            body.Write(part, 0, got);
            if (body.Length > MostBody)
            {
                return null;
            }
        }

        return body.ToArray();
    }
}

/// <summary>What lines of the chain tell of. The names stand in files: never rename.</summary>
internal static class ChainKinds
{
    public const string Run = "run", Alarm = "alarm", Audit = "audit", Spec = "spec", Configuration = "configuration",
        Sealed = "sealed", Removed = "removed", Key = "key",
        Record = "record", Decision = "decision", Reference = "reference", Withdrawn = "withdrawn", Service = "service", Rejudged = "rejudged";
}
