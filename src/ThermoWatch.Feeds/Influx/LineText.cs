using System.Text;

namespace ThermoWatch.Feeds.Influx;

/// <summary>Names and texts as line protocol spells them.</summary>
internal static class LineText
{
    /// <summary>Measurement and tags, which name a series: escaped, tags in the order of their bytes, empty ones left out.</summary>
    public static byte[] Series(string measurement, IEnumerable<KeyValuePair<string, string>> tags)
    {
        StringBuilder text = new(Escaped(measurement, ", "));
        foreach ((string key, string value) in tags.Where(t => t.Value.Length > 0).OrderBy(t => t.Key, StringComparer.Ordinal))
        {
            text.Append(',').Append(Escaped(key, ",= ")).Append('=').Append(Escaped(value, ",= "));
        }

        return Encoding.UTF8.GetBytes(text.ToString());
    }

    /// <summary>Key of a field.</summary>
    public static byte[] Key(string name) => Encoding.UTF8.GetBytes(Escaped(name, ",= "));

    /// <summary>Text as a field's value.</summary>
    public static byte[] Quoted(string words) => Encoding.UTF8.GetBytes($"\"{words.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal)}\"");

    /// <summary>Why a name cannot be one; null if it can.</summary>
    public static string? NameProblem(string name) =>
        name.Length == 0 ? "A name is empty."
        : name.Any(c => c is < ' ' or '\u007f') ? $"\"{name.ReplaceLineEndings(" ")}\" has a control character."
        : name[^1] == '\\' ? $"\"{name}\" ends with a backslash, which would take the separator with it."
        : null;

    /// <summary>A name or a text that surely can be written: what cannot becomes an underscore or a space.</summary>
    public static string Mended(string name)
    {
        string mended = string.Concat(name.Select(c => c is < ' ' or '\u007f' ? ' ' : c)).TrimEnd('\\');
        return mended.Length == 0 ? "_" : mended;
    }

    private static string Escaped(string name, string specials)
    {
        if (!name.AsSpan().ContainsAny(specials))
        {
            return name;
        }

        StringBuilder text = new();
        foreach (char c in name)
        {
            text.Append(specials.Contains(c, StringComparison.Ordinal) ? "\\" : "").Append(c);
        }

        return text.ToString();
    }
}
