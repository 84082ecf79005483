using System.Globalization;

namespace ThermoWatch.Benchmarks;

/// <summary>One line a figure: name, value, unit, peer's value, ours in terms of the peer's (more than 1 is better), by tabs.</summary>
internal static class Figures
{
    /// <summary>A figure where less is better.</summary>
    public static void Less(string name, double value, string unit, double? peer = null) => Print(name, value, unit, peer, peer / value);

    /// <summary>A figure where more is better.</summary>
    public static void More(string name, double value, string unit, double? peer = null) => Print(name, value, unit, peer, value / peer);

    /// <summary>The value at a share of sorted values, such as 0.99.</summary>
    public static double At(this double[] values, double share)
    {
        double[] sorted = [.. values.Order()];
        return sorted[Math.Min(sorted.Length - 1, (int)(share * sorted.Length))];
    }

    private static void Print(string name, double value, string unit, double? peer, double? ratio) =>
        Console.WriteLine(string.Join('\t', name, Text(value), unit, Text(peer), Text(ratio)));

    private static string Text(double? value) => value is { } v ? v.ToString("G4", CultureInfo.InvariantCulture) : "-";
}
