using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Thermocouples;

/// <summary>One letter type of thermocouple: its reference function both ways, and the cold junction added as EMF.</summary>
/// <remarks>
/// Units: EMF in mV against a reference junction at 0 °C, temperature in °C (ITS-90).
/// Error added by the conversion to temperature: at most 1e-6 K (2e-6 K across the published step of type J at 760 °C).
/// Source: NIST ITS-90 Thermocouple Database (SRD 60); IEC 60584-1 has the same functions and ends type K at 1300 °C.
/// Out of range is a quality, never an exception and never a clamped number.
/// </remarks>
public sealed partial class Thermocouple
{
    /// <summary>
    /// What a sum of two rounded EMFs may lie outside the range before it is called so. 1e-9 mV is 4e-8 K for type K,
    /// and covers that E(t) - E(cj) + E(cj) need not give back E(t).
    /// </summary>
    private const double RoundingMillivolts = 1e-9;

    private static readonly Lazy<Thermocouple>[] All = Array.ConvertAll(
        "BEJKNRST".ToCharArray(), letter => new Lazy<Thermocouple>(() => new Thermocouple(letter)));

    private readonly ReferenceFunction _function;
    private readonly ThermocoupleTables _tables;

    private Thermocouple(char letter)
    {
        Letter = letter;
        _function = new ReferenceFunction(ReferenceCoefficients.Of(letter));
        InverseFromCelsius = letter == 'B' ? TypeBZeroCelsius() : _function.LowestCelsius;
        LowestMillivolts = _function.MillivoltsAt(InverseFromCelsius);
        HighestMillivolts = _function.MillivoltsAt(HighestCelsius);
        _tables = ThermocoupleTables.Build(letter, _function, InverseFromCelsius);
    }

    /// <summary>Every letter of IEC 60584-1 that is defined here, in alphabetical order.</summary>
    public static string Letters => "BEJKNRST";

    /// <summary>Type K, the usual one on boards.</summary>
    public static Thermocouple K => Of('K');

    /// <summary>B, E, J, K, N, R, S or T.</summary>
    public char Letter { get; }

    /// <summary>Where the reference function begins, in °C.</summary>
    public double LowestCelsius => _function.LowestCelsius;

    /// <summary>Where the reference function ends, in °C.</summary>
    public double HighestCelsius => _function.HighestCelsius;

    /// <summary>Lowest temperature that an EMF can be turned into, in °C.</summary>
    /// <remarks>
    /// The beginning of the function, except for type B: its EMF falls to -0.0026 mV at 21 °C and is back at zero at
    /// 42.13 °C, so that an EMF of zero or less belongs to two temperatures. That stretch is refused.
    /// </remarks>
    public double InverseFromCelsius { get; }

    /// <summary>EMF at <see cref="InverseFromCelsius"/>, in mV.</summary>
    public double LowestMillivolts { get; }

    /// <summary>EMF at <see cref="HighestCelsius"/>, in mV.</summary>
    public double HighestMillivolts { get; }

    /// <summary>The type of a letter; null for a letter that is none. Upper case.</summary>
    public static Thermocouple? Find(char letter)
    {
        int index = Letters.IndexOf(letter, StringComparison.Ordinal);
        return index < 0 ? null : All[index].Value;
    }

    /// <summary>The type of a letter.</summary>
    /// <exception cref="ArgumentException">No such type.</exception>
    public static Thermocouple Of(char letter) =>
        Find(letter) ?? throw new ArgumentException($"'{letter}' is no thermocouple type; use one of {Letters}.", nameof(letter));

    /// <summary>EMF at a temperature, reference junction at 0 °C; bad outside the function's range.</summary>
    public Converted ToMillivolts(double celsius) => double.IsFinite(celsius)
        ? celsius >= LowestCelsius && celsius <= HighestCelsius
            ? Converted.Good(_function.MillivoltsAt(celsius))
            : Converted.Bad(QualityReason.OutOfRange)
        : Converted.Bad(QualityReason.NotANumber);

    /// <summary>Seebeck coefficient in mV/K; bad outside the function's range.</summary>
    public Converted SlopeAt(double celsius) => ToMillivolts(celsius) is { Quality.HasValue: true }
        ? Converted.Good(_function.SlopeAt(celsius))
        : Converted.Bad(double.IsFinite(celsius) ? QualityReason.OutOfRange : QualityReason.NotANumber);

    /// <summary>Temperature of a junction whose EMF is already referred to 0 °C.</summary>
    public Converted ToCelsius(double millivolts)
    {
        double celsius = CelsiusOrNaN(millivolts);
        return double.IsNaN(celsius)
            ? Converted.Bad(double.IsFinite(millivolts) ? QualityReason.OutOfRange : QualityReason.NotANumber)
            : Converted.Good(celsius);
    }

    /// <summary>Temperature of the measuring junction: the EMFs are added, then converted once.</summary>
    /// <remarks>
    /// Adding temperatures instead errs by up to a kelvin, and by nothing at all near 183 °C and 217 °C,
    /// which is why it goes unnoticed.
    /// </remarks>
    /// <param name="millivolts">As measured between the terminals.</param>
    /// <param name="coldJunctionCelsius">Temperature of these terminals.</param>
    public Converted ToCelsius(double millivolts, double coldJunctionCelsius)
    {
        double coldJunction = ReferenceMillivoltsOrNaN(coldJunctionCelsius);
        if (double.IsNaN(coldJunction)) return Converted.Bad(QualityReason.ColdJunction);
        return ToCelsius(millivolts + coldJunction);
    }

    /// <summary>The function as published, continued beyond its ends; for those who know their argument.</summary>
    internal double MillivoltsUnchecked(double celsius) => _function.MillivoltsAt(celsius);

    private double CelsiusOrNaN(double millivolts)
    {
        double celsius = _tables.Inverse.At(millivolts);
        return double.IsNaN(celsius) ? CelsiusByRoot(millivolts) : celsius;
    }

    /// <summary>Where the table has no answer: cold ends, where it would have to be very fine, and joins of two pieces.</summary>
    private double CelsiusByRoot(double millivolts) => IsInRange(millivolts)
        ? _function.CelsiusAt(millivolts, InverseFromCelsius)
        : double.NaN;

    private bool IsInRange(double millivolts) => millivolts <= HighestMillivolts + RoundingMillivolts
        && (IsAmbiguousBelow ? millivolts > 0 : millivolts >= LowestMillivolts - RoundingMillivolts);

    private double ReferenceMillivoltsOrNaN(double celsius)
    {
        double millivolts = _tables.Forward.At(celsius);
        return double.IsNaN(millivolts) ? ToMillivolts(celsius).Value : millivolts;
    }

    private bool IsAmbiguousBelow => InverseFromCelsius > LowestCelsius;

    private double TypeBZeroCelsius() => _function.CelsiusAt(0, lowestCelsius: 30);
}
