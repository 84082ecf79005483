using System.Text.Json.Serialization;

namespace ThermoWatch.Domain.Signals;

/// <summary>A raw number, or a stretch of them, that is a message and not a measurement.</summary>
/// <remarks>
/// Compared before scaling, and before a sign is trusted: makers print the same word as 32768 or -32768.
/// Which words a device uses is its maker's choice, so the list belongs to the channel.
/// </remarks>
/// <param name="From">First raw number it holds for. A number that a single-precision register cannot hold exactly matches the nearest one that it can.</param>
/// <param name="To">Last raw number it holds for.</param>
/// <param name="Quality">What the reading becomes; not good.</param>
/// <param name="WordBits">16 or 32: numbers are words of this width, so 65535 is -1; 0: they are just numbers.</param>
[method: JsonConstructor]
public sealed record Sentinel(double From, double To, SignalQuality Quality, int WordBits = 0)
{
    /// <summary>A single word.</summary>
    public Sentinel(double word, QualityReason reason, int wordBits = 0)
        : this(word, word, SignalQuality.Bad(reason), wordBits)
    {
    }

    /// <summary>Whether this raw number is such a message.</summary>
    public bool Matches(double raw)
    {
        if (raw >= From && raw <= To) return true;
        if (WordBits != 0) return Contains(raw + Math.ScaleB(1, WordBits)) || Contains(raw - Math.ScaleB(1, WordBits));
        return From.Equals(To) && raw.Equals((double)(float)From);
    }

    private bool Contains(double word) => word >= From && word <= To;
}

/// <summary>What a status register beside the value says.</summary>
/// <param name="Point">Id of the status point; of the same device, so that one scan carries both.</param>
/// <param name="Rules">The first that matches counts.</param>
public sealed record StatusWord(string Point, IReadOnlyList<StatusRule> Rules)
{
    /// <summary>The quality that the status states; good when no rule matches.</summary>
    /// <param name="raw">The status register's number; anything but a whole number up to 32 bits is garbled.</param>
    public SignalQuality Read(double raw)
    {
        if (!(raw >= int.MinValue && raw <= uint.MaxValue) || Math.Truncate(raw) != raw) return SignalQuality.Bad(QualityReason.Garbled);
        uint word = unchecked((uint)(long)raw);
        for (int i = 0; i < Rules.Count; i++)
        {
            if ((word & Rules[i].Mask) == Rules[i].Value) return Rules[i].Quality;
        }

        return SignalQuality.Good;
    }
}

/// <summary>One entry of a status register: a fault bit, or a code in some of its bits.</summary>
/// <param name="Mask">The bits that count.</param>
/// <param name="Value">What they must be.</param>
/// <param name="Quality">What that means.</param>
public sealed record StatusRule(uint Mask, uint Value, SignalQuality Quality)
{
    /// <summary>A single bit that means a fault when set.</summary>
    public static StatusRule Bit(int bit, SignalQuality quality) => new(1u << bit, 1u << bit, quality);
}
