using System.Text.Json;
using ThermoWatch.Acquisition;

namespace ThermoWatch.Service.Configuration;

/// <summary>
/// One object of a configuration file being read. Every fault is noted with its path and a remedy and reading goes on,
/// so that all faults come at once.
/// </summary>
internal sealed class JsonScope
{
    private readonly JsonElement _element;
    private readonly List<ConfigurationFault> _faults;
    private readonly HashSet<string> _asked = [];
    private readonly string _folder;

    /// <param name="element">The object.</param>
    /// <param name="path">Where it stands.</param>
    /// <param name="faults">Takes what is wrong.</param>
    /// <param name="folder">Where the file lies; empty: unknown.</param>
    public JsonScope(JsonElement element, string path, List<ConfigurationFault> faults, string folder = "")
    {
        _element = element;
        Path = path;
        _faults = faults;
        _folder = folder;
        if (element.ValueKind != JsonValueKind.Object)
        {
            Fault("", $"is {Describe(element)}", "Write an object: { ... }.");
        }
    }

    /// <summary>Where this object stands, such as <c>cells[0].devices[1]</c>; empty at the top.</summary>
    public string Path { get; }

    /// <summary>Notes a fault of a key of this object (or of the object itself, for an empty key).</summary>
    public void Fault(string key, string problem, string remedy) => _faults.Add(new ConfigurationFault(PathOf(key), problem, remedy));

    /// <summary>Faults noted so far, anywhere.</summary>
    public int FaultCount => _faults.Count;

    /// <summary>Adds faults that somebody else found below this object.</summary>
    public void Add(IEnumerable<ConfigurationFault> faults) => _faults.AddRange(faults);

    public string PathOf(string key) => key.Length == 0 ? (Path.Length == 0 ? "(file)" : Path) : Path.Length == 0 ? key : $"{Path}.{key}";

    public bool Has(string key) => Find(key) is not null;

    /// <summary>Text that must be there; an empty string after a fault.</summary>
    public string Text(string key, string remedy) => OptionalText(key) is { Length: > 0 } text ? text : Missing(key, remedy, "");

    public string? OptionalText(string key)
    {
        if (Find(key) is not { } value)
        {
            return null;
        }

        if (value.ValueKind == JsonValueKind.String)
        {
            return value.GetString();
        }

        Fault(key, $"is {Describe(value)}", "Write text in double quotes.");
        return null;
    }

    /// <summary>Path of a file that may be left out; one that is not whole counts from where this file lies, whoever starts the service and from where.</summary>
    public string? OptionalFile(string key) => OptionalText(key) is { Length: > 0 } file ? System.IO.Path.Combine(_folder, file) : null;

    /// <summary>A number within bounds; the default where the key is absent; a fault if there is none.</summary>
    public double Number(string key, double least, double most, double? byDefault)
    {
        string bounds = FormattableString.Invariant($"Use a number from {least} to {most}.");
        if (Find(key) is not { } value)
        {
            return byDefault ?? Missing(key, bounds, least);
        }

        if (value.ValueKind != JsonValueKind.Number || !value.TryGetDouble(out double number))
        {
            Fault(key, $"is {Describe(value)}", bounds);
        }
        else if (number < least || number > most)
        {
            Fault(key, FormattableString.Invariant($"is {number}"), bounds);
        }
        else
        {
            return number;
        }

        return byDefault ?? least;
    }

    /// <summary>A whole number within bounds.</summary>
    public int Whole(string key, int least, int most, int? byDefault)
    {
        double number = Number(key, least, most, byDefault);
        if (number == Math.Floor(number))
        {
            return (int)number;
        }

        Fault(key, FormattableString.Invariant($"is {number}"), $"Use a whole number from {least} to {most}.");
        return byDefault ?? least;
    }

    /// <summary>One of a few words; the default where the key is absent; a fault if there is none.</summary>
    public T Word<T>(string key, IReadOnlyDictionary<string, T> words, T? byDefault)
        where T : struct
    {
        string remedy = "Use one of: " + string.Join(", ", words.Keys) + ".";
        string? text = OptionalText(key);
        if (text is null)
        {
            return byDefault ?? (Has(key) ? default : Missing(key, remedy, default(T)));
        }

        if (words.TryGetValue(text, out T word))
        {
            return word;
        }

        Fault(key, $"is \"{text}\"", remedy);
        return byDefault ?? default;
    }

    /// <summary>The objects of a list; at least one unless said otherwise.</summary>
    public IReadOnlyList<JsonScope> Objects(string key, string remedy) =>
        [.. Elements(key, remedy).Select((e, i) => new JsonScope(e, $"{PathOf(key)}[{i}]", _faults, _folder))];

    /// <summary>The objects of a list that may be left out.</summary>
    public IReadOnlyList<JsonScope> OptionalObjects(string key) => Has(key) ? Objects(key, "Leave the key out where there are none.") : [];

    /// <summary>An object that may be left out.</summary>
    public JsonScope? Object(string key) => Find(key) is { } element ? new JsonScope(element, PathOf(key), _faults, _folder) : null;

    /// <summary>A switch; off where the key is absent.</summary>
    public bool Flag(string key)
    {
        if (Find(key) is not { } value)
        {
            return false;
        }

        if (value.ValueKind is not (JsonValueKind.True or JsonValueKind.False))
        {
            Fault(key, $"is {Describe(value)}", "Write true or false.");
        }

        return value.ValueKind == JsonValueKind.True;
    }

    /// <summary>The numbers of a list; empty after a fault.</summary>
    public double[] Numbers(string key)
    {
        IReadOnlyList<JsonElement> elements = Elements(key, "Write a list of numbers.");
        if (elements.All(e => e.ValueKind == JsonValueKind.Number))
        {
            return [.. elements.Select(e => e.GetDouble())];
        }

        Fault(key, "holds something that is no number", "Write a list of numbers.");
        return [];
    }

    /// <summary>A list of pairs of numbers; without those that are none, each a fault.</summary>
    public IReadOnlyList<double[]> Pairs(string key)
    {
        List<double[]> pairs = [];
        foreach (JsonElement element in Elements(key, "Write a list of pairs: [[0, 0.1], [100, 100.3]]."))
        {
            if (element.ValueKind == JsonValueKind.Array && element.GetArrayLength() == 2 && element.EnumerateArray().All(e => e.ValueKind == JsonValueKind.Number))
            {
                pairs.Add([.. element.EnumerateArray().Select(e => e.GetDouble())]);
            }
            else
            {
                Fault(key, $"holds {Describe(element)}", "Write every entry as a pair of numbers: [100, 100.3].");
            }
        }

        return pairs;
    }

    /// <summary>The texts of a list.</summary>
    public IReadOnlyList<string> Texts(string key, string remedy)
    {
        List<string> texts = [];
        foreach (JsonElement element in Elements(key, remedy))
        {
            if (element.ValueKind == JsonValueKind.String && element.GetString() is { Length: > 0 } text)
            {
                texts.Add(text);
            }
            else
            {
                Fault(key, $"holds {Describe(element)}", "Write every entry as text in double quotes.");
            }
        }

        return texts;
    }

    /// <summary>The element of a key as it stands, or null.</summary>
    public JsonElement? Find(string key)
    {
        _asked.Add(key);
        return _element.ValueKind == JsonValueKind.Object && _element.TryGetProperty(key, out JsonElement value)
            && value.ValueKind != JsonValueKind.Null
            ? value
            : null;
    }

    /// <summary>Call when everything has been asked for: what is left over is a fault, with the nearest known key.</summary>
    public void NothingElse()
    {
        if (_element.ValueKind != JsonValueKind.Object)
        {
            return;
        }

        foreach (JsonProperty property in _element.EnumerateObject())
        {
            if (property.Name.StartsWith('$') || _asked.Contains(property.Name))
            {
                continue;
            }

            string? near = _asked.MinBy(known => Distance(known, property.Name));
            string remedy = near is not null && Distance(near, property.Name) <= 3
                ? $"Did you mean \"{near}\"? Else delete the line."
                : "Delete the line. Known here: " + string.Join(", ", _asked.Order(StringComparer.Ordinal)) + ".";
            Fault(property.Name, "is not a known key", remedy);
        }
    }

    private IReadOnlyList<JsonElement> Elements(string key, string remedy)
    {
        if (Find(key) is not { } value)
        {
            return Missing<IReadOnlyList<JsonElement>>(key, remedy, []);
        }

        if (value.ValueKind != JsonValueKind.Array)
        {
            Fault(key, $"is {Describe(value)}", "Write a list: [ ... ].");
            return [];
        }

        if (value.GetArrayLength() == 0)
        {
            Fault(key, "is empty", remedy);
        }

        return [.. value.EnumerateArray()];
    }

    private T Missing<T>(string key, string remedy, T instead)
    {
        Fault(key, "is missing", remedy);
        return instead;
    }

    private static string Describe(JsonElement element) => element.ValueKind switch
    {
        JsonValueKind.String => $"the text \"{element.GetString()}\"",
        JsonValueKind.Number => $"the number {element.GetRawText()}",
        JsonValueKind.True or JsonValueKind.False => $"the word {element.GetRawText()}",
        JsonValueKind.Array => "a list",
        JsonValueKind.Object => "an object",
        _ => "nothing",
    };

    /// <summary>Edits between two words (Levenshtein), to find what a misspelt key was meant to be.</summary>
    private static int Distance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int change = diagonal + (char.ToLowerInvariant(a[i - 1]) == char.ToLowerInvariant(b[j - 1]) ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.Min(change, Math.Min(row[j], row[j - 1]) + 1);
            }
        }

        return row[b.Length];
    }
}
