using System.Globalization;

namespace ThermoWatch.Acquisition;

/// <summary>Collects faults, so that all of them come at once.</summary>
internal sealed class OptionsCheck(string path)
{
    private readonly List<ConfigurationFault> _faults = [];

    public IReadOnlyList<ConfigurationFault> Faults => _faults;

    public void Add(string member, string problem, string remedy) =>
        _faults.Add(new ConfigurationFault($"{path}.{member}", problem, remedy));

    public void Range(string member, int value, int least, int most, string meaning)
    {
        if (value < least || value > most) Add(member, $"{value} is not {meaning}.", $"Use {least} to {most}.");
    }

    public void Span(string member, TimeSpan value, TimeSpan least, TimeSpan most)
    {
        if (value < least || value > most)
            Add(member, $"{Text(value)} is too {(value < least ? "short" : "long")}.", $"Use {Text(least)} to {Text(most)}.");
    }

    public void Id(string member, string id)
    {
        if (id.Length is 0 or > 64 || id.Any(c => !char.IsAsciiLetterOrDigit(c) && c is not ('-' or '_')))
            Add(member, $"'{id}' cannot be an id.", "Use 1 to 64 letters, digits, hyphens and underscores.");
    }

    public void NotEmpty(string member, string value, string remedy)
    {
        if (string.IsNullOrWhiteSpace(value)) Add(member, "It is empty.", remedy);
    }

    public void Known<T>(string member, T value)
        where T : struct, Enum
    {
        if (!Enum.IsDefined(value)) Add(member, $"{value} is not known.", $"Use one of {string.Join(", ", Enum.GetNames<T>())}.");
    }

    private static string Text(TimeSpan span) => span.TotalSeconds.ToString("0.### s", CultureInfo.InvariantCulture);
}
