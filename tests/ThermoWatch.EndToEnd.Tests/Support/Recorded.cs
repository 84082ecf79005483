using System.Globalization;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>The record of a node, as the verb that exports it says.</summary>
internal static class Recorded
{
    /// <summary>What the record says, by the verb that reads it: time cut to ms, and value, by channel.</summary>
    public static async Task<Dictionary<string, List<(long TimeMs, string Value)>>> ReadAsync(Node node)
    {
        string file = Path.Combine(Path.GetDirectoryName(node.DataFolder)!, "record.csv");
        await using ProgramRun export = ProgramRun.Start(["export", "--data", node.DataFolder, "--from", "2020-01-01T00:00:00Z", "--until", "2100-01-01T00:00:00Z", "--to-file", file]);
        Assert.True(await export.EndsAsync() == 0, export.Errors);
        string[] lines = await File.ReadAllLinesAsync(file);
        string[] header = lines[0].Split(',');
        Dictionary<string, List<(long, string)>> readings = [];
        for (int column = 2; column < header.Length; column += 2)
        {
            List<(long, string)> of = readings[header[column].Split(' ')[0]] = [];
            foreach (string[] cells in lines.Skip(1).Select(l => l.Split(',')).Where(c => c[column].Length > 0))
            {
                long ticks = DateTimeOffset.Parse(cells[1], CultureInfo.InvariantCulture).UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks;
                of.Add((ticks / TimeSpan.TicksPerMillisecond, cells[column].Replace("E", "e", StringComparison.Ordinal)));
            }
        }

        return readings;
    }
}
