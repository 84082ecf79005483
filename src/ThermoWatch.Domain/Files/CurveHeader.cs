using System.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>Understands one field of a curve file's header, such as <c>tc1 [degC] product body</c>.</summary>
/// <param name="Name">Name of the channel.</param>
/// <param name="FileUnit">Unit in the file.</param>
/// <param name="Role">Role, given or by unit.</param>
/// <param name="HasRole">Whether the role was given.</param>
/// <param name="Place">Place on the product.</param>
internal sealed record CurveHeader(string Name, string FileUnit, ChannelRole Role, bool HasRole, Place Place)
{
    private static readonly Dictionary<string, ChannelRole> s_temperatureRoles = new()
    {
        ["product"] = ChannelRole.Product,
        ["vapour"] = ChannelRole.Vapour,
        ["transport"] = ChannelRole.Transport,
        ["sump"] = ChannelRole.Sump,
        ["heater"] = ChannelRole.Heater,
        ["coolingWater"] = ChannelRole.CoolingWater,
        ["coldJunction"] = ChannelRole.ColdJunction,
        ["auxiliary"] = ChannelRole.Auxiliary,
    };

    private static readonly Dictionary<string, ChannelRole> s_pressureRoles = new()
    {
        ["pressure"] = ChannelRole.Pressure,
        ["barometer"] = ChannelRole.Barometer,
        ["auxiliary"] = ChannelRole.Auxiliary,
    };

    private static readonly Dictionary<string, Place> s_places =
        new() { ["joint"] = Place.Joint, ["body"] = Place.Body, ["board"] = Place.Board, ["air"] = Place.Air };

    public CurveHead ToHead() => new(Name, Role, Place, IsPressure ? MeasuredUnit.Millibar : MeasuredUnit.DegreeCelsius);

    public bool IsPressure => FileUnits.PascalsIn(FileUnit) is not null;

    /// <summary>Reads a header field.</summary>
    /// <returns>The header, or what is wrong with it and its likely cause.</returns>
    public static (CurveHeader? Header, string Problem, string Cause) Read(ReadOnlySpan<byte> field)
    {
        string text;
        try
        {
            text = new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(field).Trim();
        }
        catch (DecoderFallbackException)
        {
            return (null, "The header is not valid UTF-8.", "The file has another encoding: save it as UTF-8.");
        }

        int open = text.LastIndexOf('[');
        int close = text.LastIndexOf(']');
        if (open <= 0 || close < open)
        {
            return (null, $"\"{text}\" has no unit.", "Write the unit in brackets after the name, such as \"tc1 [degC]\".");
        }

        string name = text[..open].Trim();
        string unit = text[(open + 1)..close].Trim();
        string[] words = text[(close + 1)..].Split(' ', StringSplitOptions.RemoveEmptyEntries);
        bool temperature = FileUnits.Temperatures.Contains(unit);
        if (name.Length == 0 || (!temperature && !FileUnits.Pressures.Contains(unit)))
        {
            return (null, name.Length == 0 ? $"\"{text}\" has no name." : $"\"{unit}\" is not a unit of curve files.", UnitCause(unit));
        }

        Dictionary<string, ChannelRole> roles = temperature ? s_temperatureRoles : s_pressureRoles;
        ChannelRole role = temperature ? ChannelRole.Product : ChannelRole.Pressure;
        if (words.Length > 0 && !roles.TryGetValue(words[0], out role))
        {
            return (null, $"\"{words[0]}\" is not a role of a {(temperature ? "temperature" : "pressure")}.", $"Use one of: {string.Join(", ", roles.Keys)}.");
        }

        var place = Place.Joint;
        if (words.Length > 2 || (words.Length == 2 && (role != ChannelRole.Product || !s_places.TryGetValue(words[1], out place))))
        {
            return (null, $"\"{string.Join(' ', words[1..])}\" is not a place on the product.", $"After \"product\" use one of: {string.Join(", ", s_places.Keys)}.");
        }

        return (new CurveHeader(name, unit, role, words.Length > 0, place), "", "");
    }

    private static string UnitCause(string unit) => unit switch
    {
        "°C" or "C" or "deg C" or "Celsius" => "Write degC.",
        "°F" or "F" => "Write degF.",
        "bar" or "atm" or "mmHg" or "micron" => "Convert it first, for instance to mbar absolute.",
        _ when unit.Contains('g', StringComparison.Ordinal) && unit.Contains("bar", StringComparison.Ordinal) =>
            "A gauge pressure depends on the weather: convert it to absolute mbar with the barometer first.",
        _ => $"Convert it first to one of: {string.Join(", ", FileUnits.Temperatures.Concat(FileUnits.Pressures))} (absolute).",
    };
}
