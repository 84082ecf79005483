using System.Globalization;
using System.Text;

namespace ThermoWatch.Feeds.Tests.Influx;

/// <summary>Reads a line by the grammar, character by character; knows nothing of our writer.</summary>
internal static class LineParser
{
    public static (string Measurement, Dictionary<string, string> Tags, Dictionary<string, string> Fields, long Time) Parse(string line)
    {
        int at = 0;
        string measurement = Until(line, ref at, ", ");
        Dictionary<string, string> tags = [], fields = [];
        while (line[at] == ',')
        {
            at++;
            string key = Until(line, ref at, "=");
            at++;
            tags.Add(key, Until(line, ref at, ", "));
        }

        do
        {
            at++;
            string key = Until(line, ref at, "=");
            at++;
            fields.Add(key, line[at] == '"' ? Quoted(line, ref at) : Until(line, ref at, ", "));
        }
        while (line[at] == ',');

        return (measurement, tags, fields, long.Parse(line.AsSpan(at + 1), CultureInfo.InvariantCulture));
    }

    private static string Until(string line, ref int at, string ends)
    {
        StringBuilder text = new();
        while (at < line.Length && !ends.Contains(line[at], StringComparison.Ordinal))
        {
            if (line[at] == '\\' && at + 1 < line.Length && ",= ".Contains(line[at + 1], StringComparison.Ordinal))
            {
                at++;
            }

            text.Append(line[at++]);
        }

        return text.ToString();
    }

    private static string Quoted(string line, ref int at)
    {
        StringBuilder text = new();
        for (at++; line[at] != '"'; at++)
        {
            if (line[at] == '\\' && line[at + 1] is '"' or '\\')
            {
                at++;
            }

            text.Append(line[at]);
        }

        at++;
        return text.ToString();
    }
}
