using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>Every condition that is watched. A new one is a class beside these and a line here.</summary>
internal static class ConditionList
{
    private static readonly Func<Condition>[] s_make =
    [
        () => new TooHot(),
        () => new HotterThanVapour(),
        () => new TimeAboveLiquidus(),
        () => new ColdAtEvacuation(),
        () => new SlowPumpDown(),
        () => new BasePressure(),
        () => new FreezeUnderVacuum(),
        () => new PressureLost(),
        () => new EvacuationRate(),
        () => new VentRate(),
        () => new SoakMissed(),
        () => new PlateauOff(),
        () => new MovedWhileLiquid(),
        () => new OffReference(),
        () => new UnexpectedVacuum(),
        () => new WrongRecipe(),
        () => new CycleStopped(),
        () => new FluidOverheat(),
        () => new LimitBroken(), // after those that speak for figures: it tells what they have not
        () => new ColdJunction(),
        () => new DeviceSilent(),
        () => new CalibrationDue(),
        () => new Reported("recording", AlarmPriority.High, "s"),
        () => new Reported("feed", AlarmPriority.Low, "s"),
        () => new Reported("feedRejected", AlarmPriority.Low),
        () => new ClockStepped(),
        () => new Reported("verificationDue", AlarmPriority.Low),
    ];

    private static readonly HashSet<(string Figure, bool Upper)> s_spokenFor =
        [.. s_make.Select(make => make()).OfType<RunCondition>().SelectMany(c => c.Figures)];

    /// <summary>Names of all conditions, each once.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. s_make.Select(make => make().Name).Distinct()];

    private static readonly FrozenDictionary<string, string> s_units =
        s_make.Select(make => make()).Where(c => c.Unit.Length > 0).ToFrozenDictionary(c => c.Name, c => c.Unit);

    /// <summary>Unit of a condition's values where that is its own; null where a figure or a channel says it, or there is none.</summary>
    public static string? UnitOf(string condition) => s_units.GetValueOrDefault(condition);

    /// <summary>All conditions anew, for one cell.</summary>
    public static Condition[] Make() => [.. s_make.Select(make => make())];

    /// <summary>Whether a condition of its own speaks for a broken limit of a figure.</summary>
    public static bool Speaks(string figure, bool upper) => s_spokenFor.Contains((figure, upper));
}
