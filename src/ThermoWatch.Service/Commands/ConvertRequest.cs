using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Service.Commands;

/// <summary>What is to be converted by which rules.</summary>
/// <param name="Type">Type of the thermocouple.</param>
/// <param name="ColdJunctionCelsius">Its cold junction; null: not said.</param>
/// <param name="Uncertainty">What is known of the chain.</param>
/// <param name="Channel">The configured channel whose settings hold; null: those of the command line.</param>
internal sealed record ConvertRequest(Thermocouple Type, double? ColdJunctionCelsius, TemperatureUncertainty Uncertainty, ConvertChannel? Channel = null)
{
    public ConvertResult FromMillivolts(double millivolts)
    {
        double junction = ColdJunctionCelsius ?? 0;
        Converted celsius = Corrected(Type.ToCelsius(millivolts, junction));
        return new ConvertResult(this, "temperature_C", celsius, celsius.Quality.HasValue ? BudgetAt(celsius.Value, junction) : null);
    }

    public ConvertResult FromCelsius(double celsius)
    {
        double junction = ColdJunctionCelsius ?? 0;
        Converted millivolts = ToMillivolts(celsius, junction);
        return new ConvertResult(this, "emf_mV", millivolts, millivolts.Quality.HasValue ? BudgetAt(celsius, junction) : null);
    }

    /// <summary>EMF between terminals at the cold junction's temperature.</summary>
    public Converted ToMillivolts(double celsius, double coldJunctionCelsius)
    {
        Converted reference = Type.ToMillivolts(coldJunctionCelsius);
        if (!reference.Quality.HasValue) return Converted.Bad(QualityReason.ColdJunction);
        Converted emf = Type.ToMillivolts(celsius);
        return emf.Quality.HasValue ? Converted.Good(emf.Value - reference.Value) : emf;
    }

    /// <summary>What the channel's calibration of today makes of a temperature.</summary>
    public Converted Corrected(Converted celsius) => celsius.Quality.HasValue && Channel?.Calibration is { } calibration
        ? celsius with { Value = calibration.Apply(celsius.Value) }
        : celsius;

    public UncertaintyBudget BudgetAt(double celsius, double coldJunctionCelsius) =>
        Channel?.BudgetAt(celsius, coldJunctionCelsius) ?? Uncertainty.BudgetAt(Type, celsius, coldJunctionCelsius);
}

/// <summary>One converted value for people or programs.</summary>
/// <param name="Request">What was asked.</param>
/// <param name="Name">Name of the result with its unit, as in files.</param>
/// <param name="Value">The result.</param>
/// <param name="Budget">Uncertainty of the temperature; null when there is no value.</param>
internal sealed record ConvertResult(ConvertRequest Request, string Name, Converted Value, UncertaintyBudget? Budget)
{
    public string ToText()
    {
        StringBuilder text = new();
        text.AppendLine(CultureInfo.InvariantCulture, $"{Name}: {(Value.Quality.HasValue ? Value.Value.ToString("R", CultureInfo.InvariantCulture) : "")}");
        text.AppendLine(CultureInfo.InvariantCulture, $"U_K: {Budget?.Expanded?.ToString("0.00", CultureInfo.InvariantCulture) ?? ""}");
        text.Append(CultureInfo.InvariantCulture, $"quality: {Value.Quality}");
        if (Request.Channel?.Calibration is { } calibration)
        {
            string certificate = calibration.Certificate.Length > 0 ? $" ({calibration.Certificate})" : "";
            text.AppendLine().Append(CultureInfo.InvariantCulture, $"calibration: version {calibration.Version}{certificate}");
        }

        if (Budget is null) return text.ToString();
        if (Budget.Unknown is { } unknown) text.AppendLine().Append(CultureInfo.InvariantCulture, $"no uncertainty: {unknown}");
        foreach (UncertaintyLine line in Budget.Lines)
        {
            text.AppendLine().Append(CultureInfo.InvariantCulture, $"  {line.Name}: {line.Stated:0.###} K stated ({line.Source}), standard uncertainty {line.Contribution:0.000} K");
        }

        foreach (string missing in Budget.NotIncluded) text.AppendLine().Append(CultureInfo.InvariantCulture, $"  {missing}");
        return text.ToString();
    }

    public string ToJson()
    {
        JsonObject json = new()
        {
            ["type"] = Request.Type.Letter.ToString(),
            [Name] = Value.Quality.HasValue ? Value.Value : null,
            ["U_K"] = Budget?.Expanded,
            ["quality"] = Value.Quality.ToString(),
            ["channel"] = Request.Channel?.Definition.Id,
            ["calibration"] = Request.Channel?.Calibration?.Version,
            ["budget"] = new JsonArray([.. (Budget?.Lines ?? []).Select(line => (JsonNode)new JsonObject
            {
                ["name"] = line.Name,
                ["stated"] = line.Stated,
                ["form"] = JsonNamingPolicy.CamelCase.ConvertName(line.Form.ToString()),
                ["sensitivity"] = line.Sensitivity,
                ["standard_K"] = line.Contribution,
                ["source"] = line.Source,
            })]),
            ["notIncluded"] = new JsonArray([.. (Budget?.NotIncluded ?? []).Select(text => (JsonNode)text)]),
            ["noUncertainty"] = Budget?.Unknown,
        };
        return json.ToJsonString();
    }
}
