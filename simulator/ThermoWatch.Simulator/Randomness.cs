namespace ThermoWatch.Simulator;

/// <summary>A small random generator of our own, so that a seed means the same run on every version of the runtime.</summary>
/// <remarks>SplitMix64 (Steele, Lea and Flood, OOPSLA 2014); the normal deviates are Box and Muller's.</remarks>
internal sealed class Randomness(ulong seed)
{
    private ulong _state = seed;
    private double _spare = double.NaN;

    /// <summary>A generator for one purpose, independent of how often others were asked.</summary>
    public static Randomness For(int seed, int run, int purpose) =>
        new(unchecked(((ulong)(uint)seed << 40) ^ ((ulong)(uint)run * 0x9E3779B97F4A7C15UL) ^ ((ulong)(uint)purpose * 0xD1B54A32D192ED03UL)));

    public ulong NextBits()
    {
        unchecked
        {
            _state += 0x9E3779B97F4A7C15UL;
            ulong z = _state;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            return z ^ (z >> 31);
        }
    }

    /// <summary>0 inclusive to 1 exclusive.</summary>
    public double Unit() => (NextBits() >> 11) * (1.0 / (1UL << 53));

    /// <summary>Even between the two.</summary>
    public double Between(double low, double high) => low + ((high - low) * Unit());

    /// <summary>A whole number from 0 to below the limit.</summary>
    public int Below(int limit) => (int)(Unit() * limit);

    /// <summary>Normal deviate, mean 0, standard deviation 1.</summary>
    public double Normal()
    {
        if (!double.IsNaN(_spare))
        {
            double kept = _spare;
            _spare = double.NaN;
            return kept;
        }

        double radius = Math.Sqrt(-2 * Math.Log(1 - Unit()));
        (double sin, double cos) = Math.SinCos(2 * Math.PI * Unit());
        _spare = radius * sin;
        return radius * cos;
    }
}
