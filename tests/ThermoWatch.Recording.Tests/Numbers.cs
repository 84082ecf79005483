using CsCheck;

namespace ThermoWatch.Recording.Tests;

/// <summary>Doubles that codecs stumble over.</summary>
internal static class Numbers
{
    private static readonly double[] Special =
    [
        0.0, -0.0, double.NaN, BitConverter.Int64BitsToDouble(0x7FF0000000000001), BitConverter.Int64BitsToDouble(unchecked((long)0xFFF8DEADBEEF0001)),
        double.PositiveInfinity, double.NegativeInfinity, double.Epsilon, -double.Epsilon, double.MaxValue, double.MinValue,
        9007199254740992, 9007199254740991, -9007199254740993, 32767, -32768, 65535, float.MaxValue, float.Epsilon, 0.1, 0.1f, 1e-5, 231.47, 231.47f,
    ];

    public static Gen<double> Adversarial { get; } = Gen.OneOf(
        Gen.Int[0, Special.Length - 1].Select(index => Special[index]),
        Gen.Long.Select(BitConverter.Int64BitsToDouble),
        Gen.Float.Select(single => (double)single),
        Gen.Int[-70000, 70000].Select(count => (double)count),
        Gen.Int[-200000, 200000].Select(hundredths => hundredths / 100.0),
        Gen.Int[-200000, 200000].Select(tenths => (double)(float)(tenths / 10.0)));
}
