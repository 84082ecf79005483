using ThermoWatch.Simulator.Instruments;
using ThermoWatch.Simulator.Machines;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator;

/// <summary>One machine with its instruments, and no clock of its own: it lives only as far as it is told to.</summary>
/// <remarks>
/// It goes in fixed steps of <see cref="Step"/> and samples its instruments every <see cref="SamplePeriod"/>, so the result does not depend
/// on how it is called. Not safe for several threads: <see cref="LiveCell"/> is.
/// </remarks>
public sealed class SimulatedCell
{
    private const double StepSeconds = 0.05;
    private const int StepsPerSample = 2;
    private readonly Machine _machine;
    private readonly InstrumentPanel _panel;
    private long _steps;

    /// <exception cref="ArgumentException">No scenario of that name.</exception>
    public SimulatedCell(SimulatorOptions options)
        : this(options, ScenarioLibrary.Find(options) ?? throw new ArgumentException(
            $"No scenario is called '{options.Scenario}'. There are: {string.Join(", ", ScenarioLibrary.Names)}.", nameof(options)))
    {
    }

    /// <summary>A cell that plays a scenario of one's own; the one named in the options is not used.</summary>
    public SimulatedCell(SimulatorOptions options, Scenario scenario)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(scenario);
        Scenario = scenario;
        _machine = new(scenario.Family, new RunPlanner(scenario, options.Seed).Plan, options.RunEvery.TotalSeconds);
        _panel = new(options with { Seed = unchecked(options.Seed + scenario.Seed) }, scenario.Gauge);
        _panel.PutBoards(_machine);
        Instruments = new(TimeSpan.Zero, _panel.Sample(_machine, 0));
    }

    /// <summary>Length of one step of the model.</summary>
    public static TimeSpan Step { get; } = TimeSpan.FromSeconds(StepSeconds);

    /// <summary>Period in which the instruments take samples.</summary>
    public static TimeSpan SamplePeriod { get; } = StepsPerSample * Step;

    /// <summary>What is being played.</summary>
    public Scenario Scenario { get; }

    /// <summary>How far the machine has been told to live.</summary>
    public TimeSpan MachineTime { get; private set; }

    /// <summary>What the instruments say now.</summary>
    public InstrumentFrame Instruments { get; private set; }

    /// <summary>What really is.</summary>
    public CellTruth Truth => new(
        _machine.Network.Celsius.ToArray(),
        _machine.Network.ZoneCelsius,
        _machine.TransportCelsius,
        _panel.ColdJunctionCelsius,
        _machine.Chamber.Mbar,
        _machine.Programme.Phase,
        _machine.Plan.Number,
        TimeSpan.FromSeconds(_machine.Programme.RunSeconds));

    /// <summary>What the run in the machine is.</summary>
    public RunLabel Run => new(_machine.Plan.Number, _machine.Plan.Product, _machine.Plan.Recipe.Number, _machine.Plan.Boards,
        _machine.Plan.Instrumented, _machine.Plan.Story, _machine.Plan.Faults);

    internal Machine Machine => _machine;

    /// <summary>Lets the machine live up to this time.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Earlier than <see cref="MachineTime"/>: it cannot go back.</exception>
    public void AdvanceTo(TimeSpan machineTime)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(machineTime, MachineTime);
        MachineTime = machineTime;
        long until = machineTime.Ticks / Step.Ticks;
        while (_steps < until)
        {
            _steps++;
            double seconds = _steps * StepSeconds;
            if (_machine.Step(StepSeconds))
            {
                _panel.PutBoards(_machine);
            }

            _panel.Step(_machine, seconds, StepSeconds);
            if (_steps % StepsPerSample == 0)
            {
                Instruments = new(_steps * Step, _panel.Sample(_machine, seconds));
            }
        }
    }
}
