using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads what is known of a channel's errors. A key that is left out is not known; the budget says so.</summary>
internal static class UncertaintyReader
{
    private const double MostKelvin = 100;
    private const double MostMillibar = 1000;

    private static readonly Dictionary<string, (bool Has, int? Class)> Extensions = new()
    {
        ["none"] = (false, null),
        ["class1"] = (true, 1),
        ["class2"] = (true, 2),
    };

    private static readonly Dictionary<string, char> Letters = Thermocouple.Letters.ToDictionary(c => c.ToString());

    /// <param name="scope">The object of the key <c>uncertainty</c>.</param>
    /// <param name="letter">The channel's own thermocouple; null if its number is no EMF.</param>
    public static TemperatureUncertainty Temperature(JsonScope scope, char? letter)
    {
        bool hasExtension = true;
        int? extensionClass = null;
        if (scope.Has("extension"))
        {
            (hasExtension, extensionClass) = scope.Word("extension", Extensions, ((bool, int?)?)null);
        }

        TemperatureUncertainty known = new()
        {
            Wire = scope.Has("class") ? scope.Word("class", Words.Of<ToleranceClass>(), (ToleranceClass?)null) : null,
            Letter = scope.Has("thermocouple") ? scope.Word("thermocouple", Letters, (char?)null) : null,
            SensorKelvin = Optional(scope, "sensor_K", MostKelvin),
            HasExtension = hasExtension,
            ExtensionClass = extensionClass,
            ColdJunctionKelvin = Optional(scope, "coldJunction_K", MostKelvin),
            InstrumentKelvin = Optional(scope, "instrument_K", MostKelvin),
            ResolutionKelvin = Optional(scope, "resolution_K", MostKelvin),
            AttachmentKelvin = Optional(scope, "attachment_K", MostKelvin),
        };
        scope.NothingElse();
        if (known is { Wire: not null, SensorKelvin: not null })
        {
            scope.Fault("sensor_K", "stands beside a tolerance class", "Keep class for a thermocouple, or sensor_K for another sensor.");
        }

        if (known is { SensorKelvin: not null } && letter is { } emf)
        {
            scope.Fault("sensor_K", $"does not fit thermocouple {emf} of the channel", "Write class: the tolerance class of its wire.");
        }

        if (known.Letter is { } named && letter is { } own && named != own)
        {
            scope.Fault("thermocouple", $"is \"{named}\", the channel's is \"{own}\"", "Leave it out here.");
        }

        if (known.Wire is not null && known.Letter is null && letter is null)
        {
            scope.Fault("thermocouple", "is missing", "The instrument gives degC, so say which type its sensor is: the class depends on it.");
        }

        return known;
    }

    public static PressureUncertainty Pressure(JsonScope scope)
    {
        PressureUncertainty known = new()
        {
            InstrumentMillibar = Optional(scope, "instrument_mbar", MostMillibar),
            InstrumentShare = Optional(scope, "instrument_share", 1),
            ResolutionMillibar = Optional(scope, "resolution_mbar", MostMillibar),
            AmbientMillibar = Optional(scope, "ambient_mbar", MostMillibar),
            IsGasDependent = scope.Flag("gasDependent"),
        };
        scope.NothingElse();
        return known;
    }

    private static double? Optional(JsonScope scope, string key, double most) => scope.Has(key) ? scope.Number(key, 0, most, null) : null;
}
