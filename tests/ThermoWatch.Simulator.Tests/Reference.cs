using System.Globalization;

namespace ThermoWatch.Simulator.Tests;

/// <summary>Rows of the published check data.</summary>
internal static class Reference
{
    public static IEnumerable<string[]> Rows(string file) =>
        File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference", file)).Skip(1).Where(l => l.Length > 0).Select(Split);

    /// <summary>Named inputs, expected value and tolerance of one worked example; NaN where it has none, because something never happens.</summary>
    public static (Func<string, double> Input, double Expected, double Tolerance) Example(string file, string name)
    {
        string[] row = Rows(file).Single(r => r[0] == name);
        var inputs = row[2].Split(';').Select(p => p.Split('=')).ToDictionary(p => p[0], p => Number(p[1]));
        return (key => inputs[key], row[3] == "never" ? double.NaN : Number(row[3]), row[5].Length == 0 ? double.NaN : Number(row[5]));
    }

    public static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private static string[] Split(string line)
    {
        List<string> fields = [];
        bool quoted = false;
        int from = 0;
        for (int i = 0; i <= line.Length; i++)
        {
            if (i == line.Length || (line[i] == ',' && !quoted))
            {
                fields.Add(line[from..i].Trim('"'));
                from = i + 1;
            }
            else if (line[i] == '"')
            {
                quoted = !quoted;
            }
        }

        return [.. fields];
    }
}
