namespace ThermoWatch.Domain.Signals;

/// <summary>How the bits of an instrument's word stand for a number. Named after the law, not after a part.</summary>
public enum WordFormat
{
    /// <summary>The word is the number.</summary>
    Number = 0,

    /// <summary>16 bits, signed sixteenths.</summary>
    Sixteenths16 = 1,

    /// <summary>16 bits, signed tenths.</summary>
    Tenths16 = 2,

    /// <summary>32-bit frame: 14 signed bits of quarters on top (31:18); bit 16 faults, and 2..0 say which.</summary>
    Quarters14Of32 = 3,

    /// <summary>The same 32-bit frame: 12 signed bits of sixteenths in the middle (15:4), the converter's own temperature.</summary>
    Sixteenths12Of32 = 4,

    /// <summary>16-bit frame: 12 unsigned bits of quarters (14:3); bit 2 is an open input, bit 15 always 0.</summary>
    Quarters12Of16 = 5,

    /// <summary>24 bits, signed 19 bits left-justified, 128ths.</summary>
    HundredTwentyEighths19Of24 = 6,

    /// <summary>16 bits, signed 14 bits left-justified, 64ths.</summary>
    SixtyFourths14Of16 = 7,

    /// <summary>32 bits: a fault byte, of which bit 24 says valid, over 24 signed bits of 1024ths.</summary>
    ThousandTwentyFourths24Of32 = 8,
}

/// <summary>Words to numbers. No port, no clock, no log.</summary>
/// <remarks>Sources of the layouts: data sheets of thermocouple-to-digital converters (SPI and I²C), as their bit tables print them.</remarks>
public static class PackedWord
{
    private const uint FrameFault = 1u << 16;
    private const uint FrameReserved = (1u << 17) | (1u << 3);
    private const uint FrameShortToSupply = 1u << 2;
    private const uint FrameShortToGround = 1u << 1;
    private const uint FrameOpen = 1u << 0;
    private const uint SmallFrameOpen = 1u << 2;
    private const uint SmallFrameSign = 1u << 15;
    private const uint TaggedValid = 1u << 24;
    private const uint TaggedUnderRange = 1u << 26;
    private const uint TaggedOverRange = 1u << 27;
    private const uint TaggedSoftColdJunction = 1u << 28;
    private const uint TaggedHardColdJunction = 1u << 29;
    private const uint TaggedHardFaults = (1u << 30) | (1u << 31);
    private const uint TaggedSoftRange = 1u << 25;

    /// <summary>Width of the word in bits; 0 for <see cref="WordFormat.Number"/>.</summary>
    public static int BitsOf(WordFormat format) => format switch
    {
        WordFormat.Number => 0,
        WordFormat.HundredTwentyEighths19Of24 => 24,
        WordFormat.Quarters14Of32 or WordFormat.Sixteenths12Of32 or WordFormat.ThousandTwentyFourths24Of32 => 32,
        _ => 16,
    };

    /// <summary>The number that the word stands for, or what it says instead.</summary>
    /// <param name="raw">
    /// The word as an integer, signed or not: a driver that reads the register as signed gives the same result.
    /// A number that is no integer of that width is garbled.
    /// </param>
    /// <param name="format">How to read it.</param>
    public static Converted Decode(double raw, WordFormat format)
    {
        if (format == WordFormat.Number) return double.IsFinite(raw) ? Converted.Good(raw) : Converted.Bad(QualityReason.NotANumber);
        int bits = BitsOf(format);
        long span = 1L << bits;
        if (!(raw >= -(span / 2) && raw < span) || Math.Truncate(raw) != raw) return Converted.Bad(QualityReason.Garbled);

        uint word = unchecked((uint)((long)raw & (span - 1)));
        return format switch
        {
            WordFormat.Sixteenths16 => Converted.Good(Signed(word, 0, 16) / 16.0),
            WordFormat.Tenths16 => Converted.Good(Signed(word, 0, 16) / 10.0),
            WordFormat.HundredTwentyEighths19Of24 => Converted.Good(Signed(word, 5, 19) / 128.0),
            WordFormat.SixtyFourths14Of16 => Converted.Good(Signed(word, 2, 14) / 64.0),
            WordFormat.Quarters12Of16 => SmallFrame(word),
            WordFormat.Quarters14Of32 => Frame(word),
            WordFormat.Sixteenths12Of32 => (word & FrameReserved) != 0
                ? Converted.Bad(QualityReason.Garbled)
                : Converted.Good(Signed(word, 4, 12) / 16.0),
            _ => Tagged(word),
        };
    }

    private static Converted Frame(uint word)
    {
        if ((word & FrameReserved) != 0) return Converted.Bad(QualityReason.Garbled);
        if ((word & FrameOpen) != 0) return Converted.Bad(QualityReason.OpenCircuit);
        if ((word & (FrameFault | FrameShortToSupply | FrameShortToGround)) != 0) return Converted.Bad(QualityReason.DeviceFault);
        return Converted.Good(Signed(word, 18, 14) / 4.0);
    }

    private static Converted SmallFrame(uint word)
    {
        if ((word & SmallFrameSign) != 0) return Converted.Bad(QualityReason.Garbled);
        if ((word & SmallFrameOpen) != 0) return Converted.Bad(QualityReason.OpenCircuit);
        return Converted.Good(((word >> 3) & 0xFFF) / 4.0);
    }

    /// <summary>Hard faults first: the number that comes with them stands for nothing.</summary>
    private static Converted Tagged(uint word)
    {
        if ((word & TaggedHardFaults) != 0) return Converted.Bad(QualityReason.DeviceFault);
        if ((word & TaggedHardColdJunction) != 0) return Converted.Bad(QualityReason.ColdJunction);
        if ((word & TaggedValid) == 0) return Converted.Bad(QualityReason.NoReading);

        double value = Signed(word, 0, 24) / 1024.0;
        if ((word & TaggedOverRange) != 0) return new(value, SignalQuality.Uncertain(QualityReason.OverRange));
        if ((word & TaggedUnderRange) != 0) return new(value, SignalQuality.Uncertain(QualityReason.UnderRange));
        if ((word & TaggedSoftColdJunction) != 0) return new(value, SignalQuality.Uncertain(QualityReason.ColdJunction));
        if ((word & TaggedSoftRange) != 0) return new(value, SignalQuality.Uncertain(QualityReason.OutOfRange));
        return Converted.Good(value);
    }

    private static int Signed(uint word, int lowestBit, int width) => unchecked((int)(word << (32 - lowestBit - width))) >> (32 - width);
}
