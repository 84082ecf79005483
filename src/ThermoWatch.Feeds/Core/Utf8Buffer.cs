using System.Globalization;

namespace ThermoWatch.Feeds;

/// <summary>Text as UTF-8, in memory that is used again. A pure writer: no clock, no network.</summary>
internal class Utf8Buffer
{
    private const int LongestNumber = 32, LongestTime = 28;
    private byte[] _bytes = new byte[64 << 10];

    /// <summary>What has been written.</summary>
    public ReadOnlyMemory<byte> Bytes => _bytes.AsMemory(0, Length);

    public int Length { get; protected set; }

    public virtual void Clear() => Length = 0;

    /// <summary>Bytes that are right already, such as the beginning of a channel's lines.</summary>
    public void Raw(ReadOnlySpan<byte> bytes)
    {
        bytes.CopyTo(Space(bytes.Length));
        Length += bytes.Length;
    }

    public void Byte(char ascii)
    {
        Space(1)[0] = (byte)ascii;
        Length++;
    }

    /// <summary>A finite number: the shortest text that gives the same bits again.</summary>
    public void Number(double value)
    {
        Span<byte> space = Space(LongestNumber);
        value.TryFormat(space, out int written, default, CultureInfo.InvariantCulture);
        if (Math.Abs(value) is (>= 1e15 or < 1e-4) and not 0)
        {
            // Line protocol's exponent is a small e, and JSON takes either.
            space[..written].Replace((byte)'E', (byte)'e');
        }

        Length += written;
    }

    public void Number(long value)
    {
        value.TryFormat(Space(LongestNumber), out int written, default, CultureInfo.InvariantCulture);
        Length += written;
    }

    public void Number(ulong value)
    {
        value.TryFormat(Space(LongestNumber), out int written, default, CultureInfo.InvariantCulture);
        Length += written;
    }

    /// <summary>RFC 3339 in UTC with all seven decimals.</summary>
    public void Time(Domain.Signals.Timestamp time)
    {
        new DateTime(time.UtcTicks, DateTimeKind.Utc).TryFormat(Space(LongestTime), out int written, "O", CultureInfo.InvariantCulture);
        Length += written;
    }

    protected ReadOnlyMemory<byte> Slice(int start, int length) => _bytes.AsMemory(start, length);

    private Span<byte> Space(int count)
    {
        if (_bytes.Length - Length < count)
        {
            Array.Resize(ref _bytes, Math.Max(_bytes.Length * 2, Length + count));
        }

        return _bytes.AsSpan(Length);
    }
}
