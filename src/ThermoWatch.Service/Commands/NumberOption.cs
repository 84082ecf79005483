using System.CommandLine;
using System.Globalization;
using System.Numerics;

namespace ThermoWatch.Service.Commands;

/// <summary>Options that are numbers in a range.</summary>
internal static class NumberOption
{
    /// <summary>Parsed here and not by the library, so that a decimal comma and a number out of range get the same plain answer.</summary>
    public static Option<T> Create<T>(string name, string description, T usual, Func<T, bool> holds, string wanted)
        where T : struct, INumber<T> => new(name)
        {
            Description = description,
            DefaultValueFactory = _ => usual,
            CustomParser = argument =>
            {
                if (argument.Tokens is [{ Value: var text }] && T.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out T value) && holds(value))
                {
                    return value;
                }

                argument.AddError($"{name} must be {wanted}.");
                return usual;
            },
        };
}
