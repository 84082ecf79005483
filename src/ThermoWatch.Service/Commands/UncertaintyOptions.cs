using System.CommandLine;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Service.Commands;

/// <summary>What a person may say of the measurement chain on the command line; what is not said is not included, and named.</summary>
internal sealed class UncertaintyOptions
{
    private readonly Option<string> _class = new("--class")
    {
        Description = "Tolerance class of the wire: 1, 2, 3 (IEC 60584-1), special, standard (ASTM E230), or none if not known.",
        DefaultValueFactory = _ => "1",
    };

    private readonly Option<string> _extension = new("--extension")
    {
        Description = "Class of the extension cable: 1, 2 (IEC 60584-3), none if there is none; unknown if not said.",
        DefaultValueFactory = _ => "unknown",
    };

    private readonly Option<double?> _coldJunction = ConvertCommand.Number("--cold-junction-tolerance", "Half width of the cold junction's temperature, K.");
    private readonly Option<double?> _instrument = ConvertCommand.Number("--instrument-tolerance", "Half width of the instrument, K.");
    private readonly Option<double?> _resolution = ConvertCommand.Number("--resolution", "Smallest step of the instrument, K.");
    private readonly Option<double?> _attachment = ConvertCommand.Number("--attachment", "Estimated standard uncertainty of the attachment to the product, K.");

    public UncertaintyOptions()
    {
        _class.AcceptOnlyFromAmong("1", "2", "3", "special", "standard", "none");
        _extension.AcceptOnlyFromAmong("1", "2", "none", "unknown");
        foreach (Option<double?> option in new[] { _coldJunction, _instrument, _resolution, _attachment })
        {
            option.Validators.Add(result =>
            {
                if (result.GetValueOrDefault<double?>() < 0) result.AddError($"{option.Name} must not be negative.");
            });
        }
    }

    public IEnumerable<Option> All => [_class, _extension, _coldJunction, _instrument, _resolution, _attachment];

    public TemperatureUncertainty Read(ParseResult parsed)
    {
        string extension = parsed.GetValue(_extension)!;
        return new TemperatureUncertainty
        {
            Wire = parsed.GetValue(_class) switch
            {
                "1" => ToleranceClass.Iec1,
                "2" => ToleranceClass.Iec2,
                "3" => ToleranceClass.Iec3,
                "special" => ToleranceClass.AstmSpecial,
                "standard" => ToleranceClass.AstmStandard,
                _ => null,
            },
            HasExtension = extension != "none",
            ExtensionClass = extension switch { "1" => 1, "2" => 2, _ => null },
            ColdJunctionKelvin = parsed.GetValue(_coldJunction),
            InstrumentKelvin = parsed.GetValue(_instrument),
            ResolutionKelvin = parsed.GetValue(_resolution),
            AttachmentKelvin = parsed.GetValue(_attachment),
        };
    }
}
