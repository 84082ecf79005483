using System.Collections.Immutable;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Machines;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Fleet;

/// <summary>What to make: a number of runs, each of its own machine.</summary>
public sealed record FleetOptions
{
    /// <summary>Number of runs.</summary>
    public required int Runs { get; init; }

    /// <summary>Seed of the fleet.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>Share of runs with a fault, 0 to 1.</summary>
    public double FaultShare { get; init; } = 0.5;

    /// <summary>Share of runs without thermocouples on the boards, 0 to 1.</summary>
    public double ProductionShare { get; init; } = 0.25;

    /// <summary>Period of the rows in the files; a multiple of <see cref="SimulatedCell.SamplePeriod"/>.</summary>
    public TimeSpan Period { get; init; } = 2 * SimulatedCell.SamplePeriod;
}

/// <summary>One run of a fleet, before it is played.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Seed">Seed of its machine.</param>
/// <param name="Scenario">What its machine does.</param>
public sealed record FleetMember(int Number, int Seed, Scenario Scenario)
{
    /// <summary>A member by its number alone: a fleet of ten begins like a fleet of a thousand.</summary>
    public static FleetMember Draw(FleetOptions options, int number)
    {
        ArgumentNullException.ThrowIfNull(options);
        var random = Randomness.For(options.Seed, number, Purpose.Faults);
        int seed = (int)(random.NextBits() >> 33);
        double family = random.Unit(), load = random.Unit();
        bool instrumented = random.Unit() >= options.ProductionShare;
        bool faulty = random.Unit() < options.FaultShare;
        ImmutableArray<PlannedFault> faults = faulty ? FaultDraw.Draw(random, instrumented) : [];
        return new(number, seed, new Scenario
        {
            Name = "fleet",
            Family = family < 0.6 ? MachineFamily.ClosedChamber : family < 0.8 ? MachineFamily.TankWithLift : MachineFamily.InLine,
            Boards = load < 0.6 ? 4 : load < 0.85 ? 2 : 1,
            Instrumented = instrumented,
            AmbientMbar = random.Between(985, 1030),
            Runs = [new RunStretch(1) { Faults = faults }],
        });
    }
}
