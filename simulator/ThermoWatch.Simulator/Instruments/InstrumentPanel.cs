using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Instruments;

/// <summary>All instruments of a cell: ten thermocouple inputs on one amplifier that warms up, and the chamber's gauge.</summary>
internal sealed class InstrumentPanel
{
    private const double ColdCelsius = 24.5;
    private const double WarmUpKelvin = 6.5;
    private const double WarmUpSeconds = 900;
    private const double ColdJunctionStep = 1.0 / 64;
    private readonly ThermocoupleInput[] _inputs = new ThermocoupleInput[SimulatedChannels.ThermocoupleCount];
    private readonly PressureGauge _gauge;
    private readonly Randomness _noise;
    private readonly bool _ideal;
    private readonly double _coldJunctionOffset;

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
    }

    /// <summary>All inputs at once, in the order of the map.</summary>
    public float[] Sample(Plant plant, double machineSeconds)
    {
        var values = new float[SimulatedChannels.Count];
        for (int i = 0; i < _inputs.Length; i++)
        {
            Machine machine = plant.Of(i);
            double emf = _inputs[i].Sample(ColdJunctionCelsius, machine.Faults, machineSeconds, _noise);
            bool unplugged = i < SimulatedChannels.ProductCount && !machine.Plan.Instrumented;
            values[i] = unplugged ? float.NaN : (float)emf;
        }

        double coldJunction = ColdJunctionCelsius;
        double random = _noise.Normal();
        if (!_ideal)
        {
            coldJunction = Math.Round((coldJunction + _coldJunctionOffset + (0.01 * random)) / ColdJunctionStep) * ColdJunctionStep;
        }

        values[SimulatedChannels.ColdJunction] = (float)coldJunction;
        values[SimulatedChannels.Pressure] = (float)_gauge.Sample(plant.Busy.Chamber.Mbar, plant.Busy.Faults, _noise);
        return values;
    }
}
