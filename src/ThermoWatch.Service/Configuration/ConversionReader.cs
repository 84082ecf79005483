using System.Globalization;
using System.Text.Json;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads how a channel's raw number becomes its value.</summary>
internal static class ConversionReader
{
    private static readonly Dictionary<string, MeasuredUnit> Units = new()
    {
        ["mV"] = MeasuredUnit.Millivolt,
        ["degC"] = MeasuredUnit.DegreeCelsius,
        ["mbar"] = MeasuredUnit.Millibar,
        ["hPa"] = MeasuredUnit.Millibar,
        ["Pa"] = MeasuredUnit.Millibar,
        ["kPa"] = MeasuredUnit.Millibar,
        ["Torr"] = MeasuredUnit.Millibar,
        ["psi"] = MeasuredUnit.Millibar,
        ["inHg"] = MeasuredUnit.Millibar,
        ["1"] = MeasuredUnit.One,
    };

    private static readonly Dictionary<string, char> Letters = Thermocouple.Letters.ToDictionary(c => c.ToString());

    public static ChannelConversion Read(JsonScope scope)
    {
        MeasuredUnit unit = scope.Word("unit", Units, (MeasuredUnit?)null);
        (double? lowest, double? highest) = Range(scope, "range");
        ChannelConversion conversion = new()
        {
            Unit = unit,
            PressureUnit = unit == MeasuredUnit.Millibar && scope.OptionalText("unit") is { } symbol ? PressureUnits.Find(symbol) ?? default : default,
            Scale = scope.Number("scale", -1e12, 1e12, 1),
            Offset = scope.Number("offset", -1e12, 1e12, 0),
            Thermocouple = scope.Has("thermocouple") ? scope.Word("thermocouple", Letters, (char?)null) : null,
            ColdJunction = ColdJunction(scope),
            ColdJunctionLimits = ColdJunctionLimits(scope),
            Word = scope.Word("word", Words.Of<WordFormat>(), (WordFormat?)WordFormat.Number),
            Sentinels = [.. scope.OptionalObjects("sentinels").Select(Sentinel)],
            Status = scope.Object("status") is { } status ? Status(status) : null,
            Bands = BandsReader.Read(scope),
            Law = scope.Object("law") is { } law ? LawReader.Analogue(law) : null,
            Amplifier = scope.Object("amplifier") is { } amplifier ? LawReader.Amplifier(amplifier) : null,
            AmbientChannel = scope.OptionalText("ambientChannel"),
            AmbientMaxAgeSeconds = scope.Number("ambientMaxAge_s", 1, 86_400, 600),
            Calibrations = CalibrationReader.Read(scope),
            Lowest = lowest,
            Highest = highest,
        };
        return conversion;
    }

    /// <summary>A quality as it stands in files: <c>good</c>, <c>uncertain:spike</c>, <c>bad:openCircuit</c>.</summary>
    internal static SignalQuality Quality(JsonScope scope)
    {
        string text = scope.Text("quality", "Say what it means, such as bad:openCircuit.");
        string[] parts = text.Split(':');
        if (parts.Length == 2 && Words.Of<Quality>().TryGetValue(parts[0], out Quality level) && level != Domain.Signals.Quality.Good
            && Words.Of<QualityReason>().TryGetValue(parts[1], out QualityReason reason) && reason != QualityReason.None)
        {
            return new SignalQuality(level, reason);
        }

        if (text.Length > 0)
        {
            scope.Fault("quality", $"is \"{text}\"", "Write bad: or uncertain: and one of " + string.Join(", ", Words.Of<QualityReason>().Keys.Where(k => k != "none")) + ".");
        }

        return SignalQuality.Bad(QualityReason.DeviceFault);
    }

    private static ColdJunctionSource? ColdJunction(JsonScope scope) => scope.Find("coldJunction") switch
    {
        null => null,
        { ValueKind: JsonValueKind.Number } number => new ColdJunctionSource.Fixed(number.GetDouble()),
        _ => scope.OptionalText("coldJunction") switch
        {
            null => null,
            "alreadyApplied" => new ColdJunctionSource.AlreadyApplied(),
            { } id => new ColdJunctionSource.FromChannel(id),
        },
    };

    private static ColdJunctionLimits ColdJunctionLimits(JsonScope scope)
    {
        ColdJunctionLimits usual = Domain.Signals.ColdJunctionLimits.Default;
        (double? lowest, double? highest) = Range(scope, "coldJunctionRange");
        return new(lowest ?? usual.LowestCelsius, highest ?? usual.HighestCelsius, scope.Number("coldJunctionMaxAge_s", 0.1, 3600, usual.MaxAgeSeconds));
    }

    internal static (double? Lowest, double? Highest) Range(JsonScope scope, string key)
    {
        if (!scope.Has(key))
        {
            return (null, null);
        }

        if (scope.Numbers(key) is [var lowest, var highest] && lowest < highest)
        {
            return (lowest, highest);
        }

        scope.Fault(key, "is no range", "Write the lowest and the highest value: [0, 1100].");
        return (null, null);
    }

    private static Sentinel Sentinel(JsonScope scope)
    {
        double from = scope.Number("from", double.MinValue, double.MaxValue, null);
        Sentinel sentinel = new(from, scope.Number("to", from, double.MaxValue, from), Quality(scope), scope.Whole("wordBits", 0, 32, 0));
        scope.NothingElse();
        return sentinel;
    }

    private static StatusWord Status(JsonScope scope)
    {
        StatusWord status = new(
            scope.Text("point", "Name the status point of the same device."),
            [.. scope.Objects("rules", "Write at least one rule.").Select(Rule)]);
        scope.NothingElse();
        return status;
    }

    private static StatusRule Rule(JsonScope scope)
    {
        SignalQuality quality = Quality(scope);
        StatusRule rule = scope.Has("bit")
            ? StatusRule.Bit(scope.Whole("bit", 0, 31, null), quality)
            : new StatusRule((uint)scope.Number("mask", 1, uint.MaxValue, null), (uint)scope.Number("value", 0, uint.MaxValue, null), quality);
        scope.NothingElse();
        return rule;
    }
}

/// <summary>Reads the calibrations of a channel.</summary>
internal static class CalibrationReader
{
    public static CalibrationHistory Read(JsonScope channel)
    {
        List<Calibration> calibrations = [.. channel.OptionalObjects("calibrations").Select(scope => ReadOne(scope)).OfType<Calibration>()];
        try
        {
            return new CalibrationHistory(calibrations);
        }
        catch (ArgumentException order)
        {
            channel.Fault("calibrations", "are out of order", FirstLine(order));
            return CalibrationHistory.Empty;
        }
    }

    /// <summary>Reads one; null after a fault. One that is to hold for all of history needs no date of its own.</summary>
    public static Calibration? ReadOne(JsonScope scope, bool needsDate = true)
    {
        IReadOnlyList<double[]> points = scope.Pairs("points");
        try
        {
            return new Calibration([.. points.Select(p => new CalibrationPoint(p[0], p[1]))])
            {
                Version = scope.Whole("version", 1, int.MaxValue, needsDate ? null : 1),
                ValidFrom = needsDate || scope.Has("validFrom") ? Moment(scope, "validFrom") ?? default : default,
                Due = scope.Has("due") ? Moment(scope, "due") : null,
                Certificate = scope.OptionalText("certificate") ?? "",
                ExpandedUncertainty = scope.Has("U") ? scope.Number("U", 0, 1e6, null) : null,
                CoverageFactor = scope.Number("k", 1, 10, 2),
            };
        }
        catch (ArgumentException wrong)
        {
            scope.Fault("points", "cannot be used", FirstLine(wrong));
            return null;
        }
        finally
        {
            scope.NothingElse();
        }
    }

    internal static Timestamp? Moment(JsonScope scope, string key)
    {
        string text = scope.Text(key, "Write a date, such as 2026-11-25, or a date and time with zone.");
        if (DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out DateTimeOffset moment))
        {
            return Timestamp.From(moment);
        }

        if (text.Length > 0)
        {
            scope.Fault(key, $"is \"{text}\"", "Write a date, such as 2026-11-25, or a date and time with zone.");
        }

        return null;
    }

    private static string FirstLine(ArgumentException error) => error.Message.Split(" (Parameter", 2)[0];
}
