using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads the laws of transmitters and amplifiers, named after the law and not after a part.</summary>
internal static class LawReader
{
    private static readonly Dictionary<string, Func<JsonScope, AnalogueLaw?>> AnalogueKinds = new()
    {
        ["linear"] = Linear,
        ["logarithmic"] = s => new AnalogueLaw.Logarithmic(s.Number("a", -100, 100, null), NotZero(s, "b")),
        ["pseudoLogarithmic"] = _ => new AnalogueLaw.PseudoLogarithmic(),
        ["table"] = Table,
    };

    private static readonly Dictionary<string, Func<JsonScope, AmplifierLaw>> AmplifierKinds = new()
    {
        ["straightLine"] = s => AmplifierLaw.StraightLine(s.Number("microvoltsPerKelvin", 0.1, 1000, 41.276)),
        ["fiveMillivoltsPerKelvin"] = s => AmplifierLaw.FiveMillivoltsPerKelvin(
            s.Number("referenceVolts", -10, 10, null), s.Number("gain", 0.1, 1e5, 122.4), s.Number("outputOffset_V", -10, 10, 0.00125)),
        ["tenMillivoltsPerKelvin"] = s => AmplifierLaw.TenMillivoltsPerKelvin(
            s.Number("gain", 0.1, 1e5, 247.3), s.Number("offset_mV", -100, 100, 0.011)),
        ["general"] = s => new AmplifierLaw(
            NotZero(s, "millivoltsPerUnit"), s.Number("referenceInput", -1e6, 1e6, 0), s.Number("offset_mV", -1e6, 1e6, 0), s.Flag("relativeToColdJunction")),
    };

    public static AnalogueLaw? Analogue(JsonScope scope) => Read(scope, AnalogueKinds);

    public static AmplifierLaw? Amplifier(JsonScope scope) => Read(scope, AmplifierKinds);

    private static T? Read<T>(JsonScope scope, Dictionary<string, Func<JsonScope, T>> kinds)
        where T : class?
    {
        string remedy = "Use one of: " + string.Join(", ", kinds.Keys) + ".";
        string kind = scope.Text("kind", remedy);
        if (!kinds.TryGetValue(kind, out Func<JsonScope, T>? read))
        {
            if (kind.Length > 0)
            {
                scope.Fault("kind", $"is \"{kind}\"", remedy);
            }

            return null;
        }

        T law = read(scope);
        scope.NothingElse();
        return law;
    }

    private static AnalogueLaw.Linear? Linear(JsonScope scope)
    {
        if (scope.Numbers("signal") is [var fromSignal, var toSignal] && fromSignal != toSignal && scope.Numbers("value") is [var fromValue, var toValue])
        {
            return new AnalogueLaw.Linear(fromSignal, toSignal, fromValue, toValue);
        }

        scope.Fault("", "has no two points", "Write both ends of the signal and the values they stand for: \"signal\": [4, 20], \"value\": [0, 1000].");
        return null;
    }

    private static AnalogueLaw.Table? Table(JsonScope scope)
    {
        try
        {
            return new AnalogueLaw.Table([.. scope.Pairs("points").Select(p => (p[0], p[1]))]);
        }
        catch (ArgumentException wrong)
        {
            scope.Fault("points", "cannot be used", wrong.Message.Split(" (Parameter", 2)[0]);
            return null;
        }
    }

    private static double NotZero(JsonScope scope, string key)
    {
        double number = scope.Number(key, -1e6, 1e6, null);
        if (number == 0)
        {
            scope.Fault(key, "is 0", "Use the number from the instrument's manual.");
        }

        return number == 0 ? 1 : number;
    }
}
