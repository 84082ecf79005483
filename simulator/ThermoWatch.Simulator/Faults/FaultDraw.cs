using System.Collections.Immutable;
namespace ThermoWatch.Simulator.Faults;

/// <summary>Draws faults at random: which, when and how bad. Ranges are our own choice, so that some are plain and some hard to see.</summary>
internal static class FaultDraw
{
    private const double SecondFaultShare = 0.15;

    /// <summary>Kinds that a fleet can hold; <see cref="FaultKind.ClockStep"/> is not one, since a curve file's times may not fall.</summary>
    public static ImmutableArray<FaultKind> Kinds { get; } = [.. Enum.GetValues<FaultKind>().Where(k => k != FaultKind.ClockStep)];

    /// <summary>One fault, now and then two of different kinds.</summary>
    public static ImmutableArray<PlannedFault> Draw(Randomness random, bool instrumented)
    {
        FaultKind[] possible = [.. Kinds.Where(k => instrumented || !k.NeedsChannel())];
        FaultKind first = possible[random.Below(possible.Length)];
        ImmutableArray<PlannedFault> faults = Faults(first, random);
        FaultKind second = possible[random.Below(possible.Length)];
        return random.Unit() < SecondFaultShare && second != first ? faults.AddRange(Faults(second, random)) : faults;
    }

    /// <summary>A fault of this kind; a stuck element is two, the heating and the throttled rest.</summary>
    public static ImmutableArray<PlannedFault> Faults(FaultKind kind, Randomness random)
    {
        int channel = random.Below(SimulatedChannels.ProductCount);
        double early = random.Between(5, 210);
        PlannedFault always = new(kind);
        return kind switch
        {
            FaultKind.OpenCircuit => [new(kind, early, random.Unit() < 0.5 ? random.Between(2, 30) : double.PositiveInfinity, 0, channel)],
            FaultKind.OpenDrifting => [new(kind, early, Amount: random.Between(-0.05, 0.05), Channel: channel)],
            FaultKind.Reversed or FaultKind.WrongType => [always with { Channel = channel }],
            FaultKind.Shorted or FaultKind.Stuck => [new(kind, early, Channel: channel)],
            FaultKind.Detached => [new(kind, random.Between(20, 220), Amount: random.Between(0.15, 0.8), Channel: channel)],
            FaultKind.ColdJunctionGradient => [always with { Amount = random.Between(-4, 4), Channel = channel }],
            FaultKind.SensorDrift => [always with { Amount = random.Between(-6, 6), Channel = channel }],
            FaultKind.MainsPickup => [new(kind, early, Amount: random.Between(20, 200), Channel: channel)],
            FaultKind.SlowPump => [always with { Amount = random.Between(0.35, 0.9) }],
            FaultKind.Leak => [always with { Amount = random.Between(20, 300) }],
            FaultKind.VirtualLeak => [new(kind, random.Between(205, 225), Amount: random.Between(100, 800))],
            FaultKind.StuckVent => [always with { Amount = random.Between(0.1, 0.7) }],
            FaultKind.WeakVapour => [always with { Amount = random.Between(0.5, 0.9) }],
            FaultKind.Overshoot => Stuck(channel, random),
            FaultKind.ColdSpot => [always with { Amount = random.Between(30, 120), Channel = channel }],
            FaultKind.LateEvacuation => [always with { Amount = random.Between(5, 40) }],
            FaultKind.LongHold => [always with { Amount = random.Between(5, 40) }],
            FaultKind.EarlyFreezing => [always with { Amount = random.Between(4, 14) }],
            FaultKind.SlowCooling => [always with { Amount = random.Between(0.3, 0.8) }],
            FaultKind.ProgrammeStopped => [new(kind, random.Between(150, 240), random.Between(10, 60))],
            FaultKind.GaugeDrift => [always with { Amount = random.Between(-0.08, 0.08) }],
            FaultKind.GaugeDead or FaultKind.GaugeBelowZero => [new(kind, random.Between(5, 250), random.Unit() < 0.5 ? random.Between(3, 40) : double.PositiveInfinity)],
            _ => [new(kind, random.Between(5, 250), random.Between(1, 30))],
        };
    }

    private static ImmutableArray<PlannedFault> Stuck(int channel, Randomness random)
    {
        double at = random.Between(180, 195), lasts = random.Between(6, 12), watts = random.Between(160, 280);
        return [new(FaultKind.Overshoot, at, lasts, watts, channel), new(FaultKind.Overshoot, at + lasts, random.Between(5, 15), 80, channel)];
    }
}
