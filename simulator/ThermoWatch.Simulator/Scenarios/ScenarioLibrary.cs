using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Scenarios;

/// <summary>The scenarios that can be asked for by name.</summary>
public static class ScenarioLibrary
{
    /// <summary>Names of all scenarios.</summary>
    public static IReadOnlyList<string> Names { get; } = ["normal", "overshoot"];

    /// <summary>The scenario that the options ask for, or null if there is none of that name.</summary>
    public static Scenario? Find(SimulatorOptions options) => options.Scenario switch
    {
        "normal" => new Scenario { Name = "normal", Description = "Good runs, one after another." },
        "overshoot" => new Scenario
        {
            Name = "overshoot",
            Description = "A radiant element sticks over board 2 while it stands in vapour: its edge goes past the boiling point.",
            Runs = [new RunStretch(options.OvershootRun) { Faults = [HeatingUp, HeldHot] }],
        },
        _ => null,
    };

    // The element heats fully, then its own limiter throttles it: the place stands 12 to 20 K above the vapour, above 245 degC for about 20 s.
    private static readonly PlannedFault HeatingUp = new(FaultKind.Overshoot, 187, 10, 242, 2);
    private static readonly PlannedFault HeldHot = new(FaultKind.Overshoot, 197, 13, 84, 2);
}
