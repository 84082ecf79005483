using ThermoWatch.Simulator.Faults;
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
    private readonly Plant _plant;
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
        _plant = new(scenario, options.Seed, options.RunEvery.TotalSeconds);
        _panel = new(options with { Seed = unchecked(options.Seed + scenario.Seed) }, scenario.Gauge);
        _panel.PutBoards(_plant);
        Instruments = new(TimeSpan.Zero, _panel.Sample(_plant, 0), _panel.SampleMachine(_plant, 0));
    }

    /// <summary>Length of one step of the model.</summary>
    public static TimeSpan Step { get; } = TimeSpan.FromSeconds(StepSeconds);

    /// <summary>Period in which the instruments take samples.</summary>
    public static TimeSpan SamplePeriod { get; } = StepsPerSample * Step;

    /// <summary>What is being played.</summary>
    public Scenario Scenario { get; }

    /// <summary>How far the machine has been told to live.</summary>
    public TimeSpan MachineTime { get; private set; }

    /// <summary>What the talking instrument believes the time to be, since its start.</summary>
    public TimeSpan InstrumentClock => Instruments.SampledAt + TimeSpan.FromSeconds(Machine.Faults.Amount(FaultKind.ClockStep, 0));

    /// <summary>What the instruments say now.</summary>
    public InstrumentFrame Instruments { get; private set; }

    /// <summary>What really is.</summary>
    public CellTruth Truth
    {
        get
        {
            double[] product = new double[SimulatedChannels.ProductCount];
            for (int i = 0; i < product.Length; i++)
            {
                product[i] = _plant.Place(i);
            }

            Programme first = Machine.Programme;
            return new(
                product,
                _plant.Place(SimulatedChannels.Vapour),
                _plant.Place(SimulatedChannels.Transport),
                _panel.ColdJunctionCelsius,
                _plant.Stations.Chamber.Mbar,
                first.Phase,
                Machine.Plan.Number,
                TimeSpan.FromSeconds(first.RunSeconds))
            {
                AmbientMbar = _plant.Stations.Chamber.AmbientMbar,
                Second = _plant.Machines.Count == 2 ? Carrier(_plant.Machines[1]) : null,
            };
        }
    }

    /// <summary>What the run in the machine is; with two carriers, the first one's.</summary>
    public RunLabel Run => Machine.Plan.Label;

    /// <summary>What the second carrier's run is, where two are in process.</summary>
    public RunLabel? SecondRun => _plant.Machines.Count == 2 ? _plant.Machines[1].Plan.Label : null;

    internal Machine Machine => _plant.Machines[0];

    internal Plant Plant => _plant;

    /// <summary>Something goes wrong now, in the run that is in the machine; with two carriers, the one that the channel belongs to.</summary>
    /// <param name="kind">What.</param>
    /// <param name="lasts">How long, at most to the run's end.</param>
    /// <param name="amount">How bad, in the unit that <see cref="FaultKind"/> names.</param>
    /// <param name="channel">Thermocouple input, where the fault has one.</param>
    /// <exception cref="ArgumentOutOfRangeException">The fault needs a channel, or another one, or has none.</exception>
    public void Inject(FaultKind kind, TimeSpan lasts, double amount = 0, int channel = -1)
    {
        if (!kind.Takes(channel))
        {
            throw new ArgumentOutOfRangeException(nameof(channel), channel, ChannelAdvice(kind));
        }

        Machine machine = kind.NeedsChannel() ? _plant.Of(channel) : Machine;
        machine.Faults.Add(new(kind, machine.Programme.RunSeconds, lasts.TotalSeconds, amount, channel));
    }

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
            if (_plant.Step(StepSeconds))
            {
                _panel.PutBoards(_plant);
            }

            _panel.Step(_plant, seconds, StepSeconds);
            if (_steps % StepsPerSample == 0)
            {
                Instruments = new(_steps * Step, _panel.Sample(_plant, seconds), _panel.SampleMachine(_plant, seconds));
            }
        }
    }

    internal static string ChannelAdvice(FaultKind kind) =>
        kind.NeedsPlace() ? $"{kind} needs a channel, 0 to {SimulatedChannels.ProductCount - 1}."
        : kind.NeedsChannel() ? $"{kind} needs a channel, 0 to {SimulatedChannels.ThermocoupleCount - 1}."
        : $"{kind} has no channel; leave it out.";

    private static CarrierTruth Carrier(Machine machine) =>
        new(machine.Programme.Phase, machine.Plan.Number, TimeSpan.FromSeconds(machine.Programme.RunSeconds), machine.TransportCelsius);
}
