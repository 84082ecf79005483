using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch convert</c>: EMF to temperature and back, one value or a file, with its uncertainty.</summary>
/// <remarks>Exit 0: converted, out-of-range values included, which say so. Exit 2: usage or input that cannot be read.</remarks>
public static class ConvertCommand
{
    private const int Done = 0;
    private const int BadInput = 2;

    /// <summary>The verb with its options and its action.</summary>
    public static Command Create() => Create(TimeProvider.System);

    internal static Command Create(TimeProvider time)
    {
        Option<char> type = new("--type")
        {
            Description = $"Thermocouple type: one of {Thermocouple.Letters}.",
            DefaultValueFactory = _ => 'K',
            CustomParser = ParseLetter,
        };
        Option<double?> emf = Number("--emf", "Measured EMF, mV.");
        Option<double?> coldJunction = Number("--cold-junction", "Temperature of the cold junction, °C. 0 if the instrument has applied it already.");
        Option<double?> temperature = Number("--temperature", "Temperature to turn into an EMF, °C.");
        Option<FileInfo?> from = new("--from")
        {
            Description = "CSV file with the header emf_mV,coldJunction_C or temperature_C, optionally with coldJunction_C. Comes back on standard output with the result added.",
        };
        Option<string?> channel = new("--channel") { Description = "A thermocouple channel of the configuration: its type, calibration of today and uncertainty hold." };
        Option<string> config = new("--config") { Description = "Configuration file with that channel.", DefaultValueFactory = _ => ServeCommand.DefaultFile };
        Option<int?> cell = new("--cell") { Description = "Its cell, where several have a channel of that name." };
        Option<bool> json = new("--json") { Description = "One value as JSON, with the uncertainty line by line." };
        UncertaintyOptions uncertainty = new();
        Command command = new(
            "convert",
            "Convert thermocouple EMF to temperature and back.\n\nExample: thermowatch convert --type K --emf 8.9498 --cold-junction 25\nExample: thermowatch convert --type K --from readings.csv > converted.csv\nExample: thermowatch convert --config thermowatch.json --channel tc1 --temperature 245")
        {
            type, emf, coldJunction, temperature, from, json, channel, config, cell,
        };
        foreach (Option option in uncertainty.All) command.Options.Add(option);

        command.SetAction(parsed =>
        {
            TextWriter output = parsed.InvocationConfiguration.Output;
            ConvertRequest request = new(Thermocouple.Of(parsed.GetValue(type)), parsed.GetValue(coldJunction), uncertainty.Read(parsed));
            string? unfit = null;
            if (parsed.GetValue(channel) is { } id)
            {
                Option? spoken = uncertainty.All.Prepend(type).FirstOrDefault(option => parsed.GetResult(option) is { Implicit: false });
                unfit = spoken is null ? null : $"--channel brings its own type and uncertainty; leave out {spoken.Name}.";
                if (unfit is null && ConvertChannel.Find(parsed.GetValue(config)!, id, parsed.GetValue(cell), Timestamp.From(time.GetUtcNow()), out unfit) is { } known)
                {
                    request = new ConvertRequest(known.Type, parsed.GetValue(coldJunction) ?? known.FixedColdJunctionCelsius, request.Uncertainty, known);
                }
            }

            string? fault = unfit ?? (parsed.GetValue(emf), parsed.GetValue(temperature), parsed.GetValue(from)) switch
            {
                (_, _, not null) when parsed.GetValue(json) => "--json is for one value; a file comes back as CSV. Leave one of them out.",
                ({ } millivolts, null, null) when request.ColdJunctionCelsius is null => $"--emf {millivolts.ToString(CultureInfo.InvariantCulture)} needs --cold-junction; use 0 if the instrument has applied it already.",
                ({ } millivolts, null, null) => Print(output, request.FromMillivolts(millivolts), parsed.GetValue(json)),
                (null, { } celsius, null) => Print(output, request.FromCelsius(celsius), parsed.GetValue(json)),
                (null, null, { } file) => ConvertFile.Run(file, request, output, parsed.InvocationConfiguration.Error, time),
                _ => "Give one of --emf, --temperature and --from.",
            };
            if (fault is null) return Done;
            parsed.InvocationConfiguration.Error.WriteLine("convert: " + fault);
            return BadInput;
        });
        return command;
    }

    /// <summary>Strict, as "25,5" would otherwise be read as 255.</summary>
    internal static Option<double?> Number(string name, string description) => new(name)
    {
        Description = description,
        CustomParser = result =>
        {
            string text = result.Tokens[0].Value;
            if (TryParse(text, out double value)) return value;
            result.AddError($"{name} {text} is no number; use digits and a decimal point.");
            return null;
        },
    };

    /// <summary>A finite number with a decimal point and no thousands separators.</summary>
    internal static bool TryParse(ReadOnlySpan<char> text, out double value) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);

    private static char ParseLetter(ArgumentResult result)
    {
        string text = result.Tokens[0].Value.ToUpperInvariant();
        if (text.Length == 1 && Thermocouple.Find(text[0]) is { } type) return type.Letter;
        result.AddError($"--type {result.Tokens[0].Value} is no thermocouple type; use one of {string.Join(", ", Thermocouple.Letters.ToCharArray())}.");
        return default;
    }

    private static string? Print(TextWriter output, ConvertResult result, bool json)
    {
        output.WriteLine(json ? result.ToJson() : result.ToText());
        return null;
    }
}
