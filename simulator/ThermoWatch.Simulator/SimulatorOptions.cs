namespace ThermoWatch.Simulator;

/// <summary>What to simulate. The same options give the same machine, to the bit.</summary>
public sealed record SimulatorOptions
{
    /// <summary>Seed of everything random: run-to-run variation, sensor errors, noise.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>Name of a scenario, one of <see cref="Scenarios.ScenarioLibrary.Names"/>.</summary>
    public string Scenario { get; init; } = "normal";

    /// <summary>Ideal instruments: no noise, no tolerance, no response time, no steps. Run-to-run variation stays.</summary>
    public bool NoiseFree { get; init; }

    /// <summary>From one run's start to the next, if the cycle and half a minute of loading are done by then; zero: as soon as they are.</summary>
    public TimeSpan RunEvery { get; init; }

    /// <summary>In the scenario <c>overshoot</c>: the run in which the radiant heater sticks. The first run is 1.</summary>
    public int OvershootRun { get; init; } = 1;
}
