using System.Globalization;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Thermocouples;

/// <summary>What is known of a temperature channel's errors. What is null is not known, and said so.</summary>
public sealed record TemperatureUncertainty
{
    /// <summary>Letter of the thermocouple where the instrument itself gives °C; null: as the channel's conversion says.</summary>
    public char? Letter { get; init; }

    /// <summary>Half width of a sensor that is no thermocouple, K; it then has no tolerance class.</summary>
    public double? SensorKelvin { get; init; }

    /// <summary>Tolerance class of the wire.</summary>
    public ToleranceClass? Wire { get; init; }

    /// <summary>Whether there is extension cable at all.</summary>
    public bool HasExtension { get; init; } = true;

    /// <summary>Tolerance class of the extension cable, 1 or 2 (IEC 60584-3).</summary>
    public int? ExtensionClass { get; init; }

    /// <summary>Half width of the cold junction's temperature, K.</summary>
    public double? ColdJunctionKelvin { get; init; }

    /// <summary>Half width of the instrument, K.</summary>
    public double? InstrumentKelvin { get; init; }

    /// <summary>Smallest step, K.</summary>
    public double? ResolutionKelvin { get; init; }

    /// <summary>Standard uncertainty of the attachment to the product, K; somebody's estimate.</summary>
    public double? AttachmentKelvin { get; init; }

    /// <summary>As a spec's measurement states it; no extension class there means no extension cable.</summary>
    public static TemperatureUncertainty Of(MeasurementChain chain)
    {
        ArgumentNullException.ThrowIfNull(chain);
        return new TemperatureUncertainty
        {
            Wire = (ToleranceClass)chain.Class,
            HasExtension = chain.Extension is not null,
            ExtensionClass = chain.Extension,
            ColdJunctionKelvin = chain.ColdJunctionKelvin,
            InstrumentKelvin = chain.InstrumentKelvin,
            ResolutionKelvin = chain.ResolutionKelvin,
            AttachmentKelvin = chain.AttachmentKelvin,
        };
    }

    /// <summary>The budget of one reading.</summary>
    /// <param name="type">Type of the thermocouple; null: none, or not known.</param>
    /// <param name="celsius">The reading.</param>
    /// <param name="coldJunctionCelsius">
    /// Temperature of the cold junction. Its error counts by the ratio of the Seebeck coefficients there and at the reading,
    /// near 1 for type K in soldering. Null: counted in full.
    /// </param>
    /// <param name="calibration">The calibration that the reading took; its stated uncertainty replaces the wire's tolerance.</param>
    public UncertaintyBudget BudgetAt(Thermocouple? type, double celsius, double? coldJunctionCelsius = null, Calibration? calibration = null)
    {
        List<UncertaintyLine> lines = [];
        List<string> missing = [];
        string? unknown = AddWire(type, celsius, calibration, lines);
        bool isThermocouple = SensorKelvin is null;
        if (HasExtension && isThermocouple) Add("extension cable", ExtensionOf(type), UncertaintyForm.HalfWidth, "IEC 60584-3", isShared: true);
        if (isThermocouple) Add("cold junction", ColdJunctionKelvin, UncertaintyForm.HalfWidth, "as stated", SensitivityTo(type, celsius, coldJunctionCelsius), isShared: true);
        Add("instrument", InstrumentKelvin, UncertaintyForm.HalfWidth, "as stated", isShared: true);
        Add("resolution", ResolutionKelvin, UncertaintyForm.Resolution, "as stated");
        Add("attachment", AttachmentKelvin, UncertaintyForm.Standard, "estimate");
        return new UncertaintyBudget(lines, missing, unknown);

        void Add(string name, double? stated, UncertaintyForm form, string source, double sensitivity = 1, bool isShared = false)
        {
            if (stated is { } known) lines.Add(new UncertaintyLine(name, known, form, source, sensitivity) { IsShared = isShared });
            else missing.Add(name + " not included");
        }
    }

    /// <summary>The largest contribution by far, so without it there is no U.</summary>
    private string? AddWire(Thermocouple? type, double celsius, Calibration? calibration, List<UncertaintyLine> lines)
    {
        if (calibration?.ExpandedUncertainty is { } expanded)
        {
            lines.Add(new UncertaintyLine("calibration", expanded / calibration.CoverageFactor, UncertaintyForm.Standard, calibration.Certificate));
            return null;
        }

        if (SensorKelvin is { } sensor)
        {
            lines.Add(new UncertaintyLine("sensor", sensor, UncertaintyForm.HalfWidth, "as stated"));
            return null;
        }

        if (type is null) return "the type of the thermocouple is not known";
        if (Wire is not { } wire) return "the tolerance class of the thermocouple is not known";
        Converted tolerance = ThermocoupleTolerance.HalfWidthKelvin(type.Letter, wire, celsius);
        if (!tolerance.Quality.HasValue)
        {
            return string.Create(CultureInfo.InvariantCulture, $"the tolerance of type {type.Letter} is not defined at {celsius:0.#} °C in that class");
        }

        string standard = wire is ToleranceClass.AstmSpecial or ToleranceClass.AstmStandard ? "ASTM E230" : "IEC 60584-1";
        lines.Add(new UncertaintyLine("thermocouple", tolerance.Value, UncertaintyForm.HalfWidth, standard) { IsShared = true });
        return null;
    }

    private double? ExtensionOf(Thermocouple? type)
    {
        if (type is null || ExtensionClass is not { } cableClass) return null;
        Converted halfWidth = ThermocoupleTolerance.ExtensionHalfWidthKelvin(type.Letter, cableClass);
        return halfWidth.Quality.HasValue ? halfWidth.Value : null;
    }

    private static double SensitivityTo(Thermocouple? type, double celsius, double? coldJunctionCelsius)
    {
        if (type is null || coldJunctionCelsius is not { } coldJunction) return 1;
        double ratio = type.SlopeAt(coldJunction).Value / type.SlopeAt(celsius).Value;
        return double.IsFinite(ratio) ? ratio : 1;
    }
}
