namespace ThermoWatch.Service.Commands;

/// <summary>Which field of a row is what.</summary>
internal sealed class ConvertColumns
{
    private const string Emf = "emf_mV";
    private const string Temperature = "temperature_C";
    private const string ColdJunction = "coldJunction_C";

    private readonly int _count;
    private readonly int _value;
    private readonly int _junction;
    private readonly string[] _names;
    private readonly double _fixedJunctionCelsius;

    private ConvertColumns(string[] names, double fixedJunctionCelsius)
    {
        _names = names;
        _count = names.Length;
        IsToCelsius = names.Contains(Emf);
        _value = Array.IndexOf(names, IsToCelsius ? Emf : Temperature);
        _junction = Array.IndexOf(names, ColdJunction);
        _fixedJunctionCelsius = fixedJunctionCelsius;
    }

    /// <summary>Whether the file holds EMFs.</summary>
    public bool IsToCelsius { get; }

    /// <returns>Null, or what is wrong with the header and what to do.</returns>
    public static string? Read(string header, double? fixedJunctionCelsius, out ConvertColumns? columns)
    {
        columns = null;
        if (header.Contains(';', StringComparison.Ordinal)) return "the columns are separated by semicolons; use commas and decimal points.";
        string[] names = header.Split(',');
        string? unknown = names.FirstOrDefault(name => name is not (Emf or Temperature or ColdJunction));
        if (unknown is not null) return $"unknown column '{unknown}'; use {Emf},{ColdJunction} or {Temperature}.";
        if (names.Distinct().Count() != names.Length) return "a column stands there twice.";
        if (names.Contains(Emf) == names.Contains(Temperature)) return $"there must be one of the columns {Emf} and {Temperature}.";
        bool hasJunction = names.Contains(ColdJunction);
        if (hasJunction && fixedJunctionCelsius is not null) return $"the file has a column {ColdJunction} of its own; leave out --cold-junction.";
        if (names.Contains(Emf) && !hasJunction && fixedJunctionCelsius is null) return $"add a column {ColdJunction}, or give --cold-junction for all rows.";
        columns = new ConvertColumns(names, fixedJunctionCelsius ?? 0);
        return null;
    }

    /// <summary>Reads a row; an empty field is a missing reading and gives NaN.</summary>
    /// <returns>Null, or what is wrong with the row.</returns>
    public string? ReadRow(string line, out double value, out double junctionCelsius)
    {
        value = double.NaN;
        junctionCelsius = double.NaN;
        string[] fields = line.Split(',');
        if (fields.Length != _count)
        {
            string cause = line.Length == 0 ? "the line is empty" : fields.Length > _count ? "decimal commas? Use decimal points" : "a field is missing";
            return $"{fields.Length} fields for {_count} columns; {cause}.";
        }

        if (Field(fields, _value, out value) is { } fault) return fault;
        if (_junction >= 0) return Field(fields, _junction, out junctionCelsius);
        junctionCelsius = _fixedJunctionCelsius;
        return null;
    }

    private string? Field(string[] fields, int column, out double value)
    {
        value = double.NaN;
        if (fields[column].Length == 0) return null;
        return ConvertCommand.TryParse(fields[column], out value)
            ? null
            : $"column {_names[column]}: '{fields[column]}' is no number; use digits and a decimal point, or leave the field empty.";
    }
}
