namespace ThermoWatch.Acquisition.Tests;

/// <summary>Rows of a published table under tests/reference, by column name.</summary>
internal static class ReferenceTable
{
    public static IEnumerable<Dictionary<string, string>> Read(string name)
    {
        string[] lines = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "reference", name));
        string[] header = Fields(lines[0]);
        return lines.Skip(1).Where(l => l.Length > 0)
            .Select(l => header.Zip(Fields(l)).ToDictionary(p => p.First, p => p.Second));
    }

    private static string[] Fields(string line)
    {
        List<string> fields = [""];
        bool quoted = false;
        foreach (char c in line)
        {
            if (c == '"') quoted = !quoted;
            else if (c == ',' && !quoted) fields.Add("");
            else fields[^1] += c;
        }

        return [.. fields];
    }
}
