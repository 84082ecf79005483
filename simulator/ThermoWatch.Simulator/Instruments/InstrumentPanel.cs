using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Instruments;

/// <summary>All instruments of a cell: ten thermocouple inputs on one amplifier that warms up, and the chamber's gauge.</summary>
internal sealed class InstrumentPanel
{
    private const double ColdCelsius = 24.5;
    private const double WarmUpKelvin = 6.5;
    private const double WarmUpSeconds = 900;
    private const double ColdJunctionStep = 1.0 / 64;
    private const double BarometerStepHpa = 0.1;
    private const double BarometerNoiseHpa = 0.03;
    private const int SecondTransportInput = -2; // no planned fault has this channel: carrier B's own sensor stays healthy
    private readonly ThermocoupleInput[] _inputs = new ThermocoupleInput[SimulatedChannels.ThermocoupleCount];
    private readonly PressureGauge _gauge;
    private readonly Randomness _noise;
    private readonly bool _ideal;
    private readonly double _coldJunctionOffset;
    private readonly ThermocoupleInput _secondTransport;
    private readonly double _barometerOffset;
    private readonly Randomness _machineNoise;

    public InstrumentPanel(SimulatorOptions options, GaugeLaw law)
    {
        _ideal = options.NoiseFree;
        var errors = Randomness.For(options.Seed, 0, Purpose.SensorErrors);
        for (int i = 0; i < _inputs.Length; i++)
        {
            _inputs[i] = new(i, _ideal, errors);
        }

        _gauge = new(law, _ideal);
        _coldJunctionOffset = _ideal ? 0 : errors.Between(-0.12, 0.12);
        _noise = Randomness.For(options.Seed, 0, Purpose.Noise);
        _secondTransport = new(SecondTransportInput, _ideal, errors);
        _barometerOffset = _ideal ? 0 : errors.Between(-0.3, 0.3);
        _machineNoise = Randomness.For(options.Seed, 0, Purpose.MachineNoise);
    }

    /// <summary>True temperature of the terminals, degC.</summary>
    public double ColdJunctionCelsius { get; private set; } = ColdCelsius;

    /// <summary>Takes the temperatures of new boards at once; on places that were not changed the bead is there already.</summary>
    public void PutBoards(Plant plant)
    {
        for (int i = 0; i < _inputs.Length; i++)
        {
            if (plant.Of(i).Programme.IsJustLoaded)
            {
                _inputs[i].PutAt(plant.Place(i));
            }
        }

        if (plant.Second is { Programme.IsJustLoaded: true } second)
        {
            _secondTransport.PutAt(second.TransportCelsius);
        }
    }

    /// <summary>Beads follow for one step.</summary>
    public void Step(Plant plant, double machineSeconds, double seconds)
    {
        ColdJunctionCelsius = ColdCelsius + (WarmUpKelvin * (1 - Math.Exp(-machineSeconds / WarmUpSeconds)));
        for (int i = 0; i < _inputs.Length; i++)
        {
            Machine machine = plant.Of(i);
            _inputs[i].Follow(plant.Place(i), machine.GasCelsius, machine.Faults, seconds);
        }

        if (plant.Second is { } second)
        {
            _secondTransport.Follow(second.TransportCelsius, second.GasCelsius, second.Faults, seconds);
        }
    }

    /// <summary>All inputs at once, in the order of the map.</summary>
    public float[] Sample(Plant plant, double machineSeconds)
    {
        var values = new float[SimulatedChannels.Count];
        for (int i = 0; i < _inputs.Length; i++)
        {
            Machine machine = plant.Of(i);
            double emf = _inputs[i].Sample(ColdJunctionCelsius, machine.Faults, machineSeconds, _noise);
            bool unplugged = i < SimulatedChannels.ProductCount && machine.IsUnplugged;
            values[i] = unplugged ? float.NaN : (float)emf;
        }

        double coldJunction = ColdJunctionCelsius;
        double random = _noise.Normal();
        if (!_ideal)
        {
            coldJunction = Math.Round((coldJunction + _coldJunctionOffset + (0.01 * random)) / ColdJunctionStep) * ColdJunctionStep;
        }

        values[SimulatedChannels.ColdJunction] = (float)coldJunction;
        values[SimulatedChannels.Pressure] = (float)_gauge.Sample(plant.Stations.Chamber.Mbar, plant.Busy.Faults, _noise);
        return values;
    }

    /// <summary>What stands beside the amplifier and the gauge.</summary>
    public MachineFrame SampleMachine(Plant plant, double machineSeconds)
    {
        double barometer = plant.Stations.Chamber.AmbientMbar;
        if (!_ideal)
        {
            barometer = Math.Round((barometer + _barometerOffset + (BarometerNoiseHpa * _machineNoise.Normal())) / BarometerStepHpa) * BarometerStepHpa;
        }

        double transport = plant.Second is { } second
            ? _secondTransport.Sample(ColdJunctionCelsius, second.Faults, machineSeconds, _machineNoise)
            : double.NaN;
        return new((float)barometer, (float)transport, plant.Machines[0].Signals, plant.Second?.Signals);
    }
}
