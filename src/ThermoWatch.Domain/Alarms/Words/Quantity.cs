using System.Globalization;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>Numbers with their units, as people read them.</summary>
internal static class Quantity
{
    private const char NoBreak = '\u00a0';

    /// <summary>A value: as many places as its size asks for, so that a small pressure does not become nothing.</summary>
    public static string Of(double? value, string unit, AlarmLanguage language)
    {
        if (value is not { } known)
        {
            return "";
        }

        double size = Math.Abs(known);
        int places = size >= 10 || size == 0 ? 1 : size >= 0.1 ? 2 : Math.Min(15, 1 - (int)Math.Floor(Math.Log10(size)));
        string number = Math.Round(known, places).ToString("0.###############", CultureInfo.InvariantCulture).Replace('.', language.DecimalSign);
        return unit.Length == 0 ? number : $"{number}{NoBreak}{unit}";
    }

    /// <summary>A time: in seconds while these can be counted, else in the two largest units that it fills.</summary>
    public static string Span(double seconds)
    {
        long whole = (long)Math.Round(Math.Abs(seconds));
        (long Size, string Unit)[] units = [(86_400, "d"), (3600, "h"), (60, "min"), (1, "s")];
        int first = whole < 180 ? 3 : Array.FindIndex(units, u => whole >= u.Size);
        if (first == 3)
        {
            // Less than a second is said as it is: a clock may have been set by so little.
            return Math.Abs(seconds) is > 0 and < 1 ? $"1{NoBreak}s" : $"{whole}{NoBreak}s";
        }

        long count = whole / units[first].Size, rest = whole % units[first].Size / units[first + 1].Size;
        return rest == 0 ? $"{count}{NoBreak}{units[first].Unit}" : $"{count}{NoBreak}{units[first].Unit} {rest}{NoBreak}{units[first + 1].Unit}";
    }
}
