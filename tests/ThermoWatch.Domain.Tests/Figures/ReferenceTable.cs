using System.Text;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>Reads a table of published or constructed check values (RFC 4180 with a header).</summary>
internal static class ReferenceTable
{
    public static IReadOnlyList<IReadOnlyDictionary<string, string>> Read(string path)
    {
        List<List<string>> rows = [];
        List<string> row = [];
        var cell = new StringBuilder();
        bool quoted = false;
        string text = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "reference", path)).ReplaceLineEndings("\n");
        for (int i = 0; i < text.Length; i++)
        {
            char c = text[i];
            if (c == '"')
            {
                if (quoted && i + 1 < text.Length && text[i + 1] == '"')
                {
                    cell.Append(c);
                    i++;
                }
                else
                {
                    quoted = !quoted;
                }
            }
            else if (!quoted && c is ',' or '\n' && !quoted)
            {
                row.Add(cell.ToString());
                cell.Clear();
                if (c == '\n')
                {
                    rows.Add(row);
                    row = [];
                }
            }
            else
            {
                cell.Append(c);
            }
        }

        List<string> header = rows[0];
        return [.. rows.Skip(1).Where(r => r.Count == header.Count).Select(r =>
            header.Zip(r).ToDictionary(p => p.First, p => p.Second))];
    }
}
