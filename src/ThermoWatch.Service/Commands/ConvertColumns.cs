namespace ThermoWatch.Service.Commands;

/// <summary>Which field of a row is what. Columns that are none of ours pass through untouched.</summary>
internal sealed class ConvertColumns
{
    private const string Emf = "emf_mV";
    private const string Temperature = "temperature_C";
    private const string ColdJunction = "coldJunction_C";

    /// <summary>What people write for our columns; taken for another column it would be passed through and not used.</summary>
    private static readonly Dictionary<string, string> Mistaken = new()
    {
        ["emf"] = Emf,
        ["emfmv"] = Emf,
        ["emfinmv"] = Emf,
        ["temperature"] = Temperature,
        ["temperaturec"] = Temperature,
        ["temperaturedegc"] = Temperature,
        ["coldjunction"] = ColdJunction,
        ["coldjunctionc"] = ColdJunction,
        ["coldjunctiondegc"] = ColdJunction,
        ["cj"] = ColdJunction,
        ["cjc"] = ColdJunction,
    };

    private readonly int _count;
    private readonly int _value;
    private readonly int _junction;
    private readonly List<string> _names;
    private readonly double _fixedJunctionCelsius;

    private ConvertColumns(List<string> names, double fixedJunctionCelsius)
    {
        _names = names;
        _count = names.Count;
        IsToCelsius = names.Contains(Emf);
        _value = names.IndexOf(IsToCelsius ? Emf : Temperature);
        _junction = names.IndexOf(ColdJunction);
        _fixedJunctionCelsius = fixedJunctionCelsius;
    }

    /// <summary>Whether the file holds EMFs.</summary>
    public bool IsToCelsius { get; }

    /// <summary>Names of the columns that are added, with their commas.</summary>
    public string Added => $"{(IsToCelsius ? Temperature : Emf)},U_K,quality";

    /// <returns>Null, or what is wrong with the header and what to do.</returns>
    public static string? Read(IReadOnlyList<string> header, double? fixedJunctionCelsius, out ConvertColumns? columns)
    {
        columns = null;
        List<string> names = [.. header];
        if (names.Exists(name => name.Contains(';', StringComparison.Ordinal)) && !names.Contains(Emf) && !names.Contains(Temperature))
        {
            return "the columns are separated by semicolons; use commas and decimal points.";
        }

        foreach (string name in names.Where(name => name is not (Emf or Temperature or ColdJunction)))
        {
            string plain = string.Concat(name.Where(char.IsLetterOrDigit)).ToLowerInvariant();
            if (Mistaken.TryGetValue(plain, out string? meant)) return $"column '{name}' is not used under that name; write {meant}.";
            if (name is "U_K" or "quality") return $"the file has a column {name} of its own, and convert adds one; rename or remove it.";
        }

        if (Array.Find([Emf, Temperature, ColdJunction], ours => names.Count(name => name == ours) > 1) is { } twice) return $"column {twice} stands there twice.";
        if (names.Contains(Emf) == names.Contains(Temperature)) return $"there must be one of the columns {Emf} and {Temperature}.";
        bool hasJunction = names.Contains(ColdJunction);
        if (hasJunction && fixedJunctionCelsius is not null) return $"the file has a column {ColdJunction} of its own; leave out --cold-junction.";
        if (names.Contains(Emf) && !hasJunction && fixedJunctionCelsius is null) return $"add a column {ColdJunction}, or give --cold-junction for all rows.";
        columns = new ConvertColumns(names, fixedJunctionCelsius ?? 0);
        return null;
    }

    /// <summary>Reads a row; an empty field is a missing reading and gives NaN.</summary>
    /// <returns>Null, or what is wrong with the row.</returns>
    public string? ReadRow(List<string> fields, out double value, out double junctionCelsius)
    {
        value = double.NaN;
        junctionCelsius = double.NaN;
        if (fields.Count != _count)
        {
            string cause = fields is [""] ? "the line is empty" : fields.Count > _count ? "decimal commas? Use decimal points" : "a field is missing";
            return $"{fields.Count} fields for {_count} columns; {cause}.";
        }

        if (Field(fields, _value, out value) is { } fault) return fault;
        if (_junction >= 0) return Field(fields, _junction, out junctionCelsius);
        junctionCelsius = _fixedJunctionCelsius;
        return null;
    }

    private string? Field(List<string> fields, int column, out double value)
    {
        value = double.NaN;
        string text = fields[column];
        if (text.Length == 0) return null;
        if (ConvertCommand.TryParse(text, out value)) return null;
        bool hasComma = text.Contains(',', StringComparison.Ordinal) && ConvertCommand.TryParse(text.Replace(',', '.'), out _);
        string remedy = hasComma ? "it has a decimal comma; use a decimal point." : "use digits and a decimal point, or leave the field empty.";
        return $"column {_names[column]}: '{text}' is no number; {remedy}";
    }
}
