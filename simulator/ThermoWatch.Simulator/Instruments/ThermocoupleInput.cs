using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Instruments;

/// <summary>One thermocouple with its bead, wire and amplifier input.</summary>
internal sealed class ThermocoupleInput
{
    private const double BeadSeconds = 0.4;       // 0.5 mm bead, well attached; common practice
    private const double AirBeadSeconds = 2.4;    // the same bead in moving air: reference row bead_tau_0p5mm
    private const double NoiseMillivolts = 0.0035;
    private const double StepMillivolts = 0.001;  // resolution of the amplifier
    private const double MainsHertz = 49.93;      // seldom exactly 50, so that 10 Hz sampling folds it to a slow beat
    private readonly int _channel;
    private readonly bool _ideal;
    private readonly double _gain;
    private double _bead, _last;

    public ThermocoupleInput(int channel, bool ideal, Randomness random)
    {
        _channel = channel;
        _ideal = ideal;

        // Class 1 allows 1.5 K at 230 degC (IEC 60584-1); one spool lies well inside it.
        _gain = 1 + (ideal ? 0 : random.Between(-0.0022, 0.0022));
    }

    /// <summary>A new board: the bead takes its temperature at once.</summary>
    public void PutAt(double celsius) => _bead = celsius;

    /// <summary>The bead follows what it touches, for one step.</summary>
    public void Follow(double placeCelsius, double gasCelsius, ActiveFaults faults, double seconds)
    {
        PlannedFault? detached = faults.Find(FaultKind.Detached, _channel);
        double share = detached?.Amount ?? 0;
        double touched = placeCelsius + (share * (gasCelsius - placeCelsius));
        double timeConstant = BeadSeconds + (share * (AirBeadSeconds - BeadSeconds));
        _bead = _ideal && detached is null ? touched : _bead + ((touched - _bead) * (1 - Math.Exp(-seconds / timeConstant)));
    }

    /// <summary>EMF between the terminals now, mV; NaN: the instrument reports an open input.</summary>
    public double Sample(double coldJunctionCelsius, ActiveFaults faults, double machineSeconds, Randomness noise)
    {
        double random = noise.Normal(); // drawn always, so that a fault changes only its own channel
        if (faults.Any)
        {
            if (faults.Find(FaultKind.Stuck, _channel) is not null)
            {
                return _last;
            }

            if (faults.Find(FaultKind.OpenCircuit, _channel) is not null)
            {
                return double.NaN;
            }
        }

        double emf = faults.Any ? Faulty(coldJunctionCelsius, faults, machineSeconds) : Healthy(_bead, coldJunctionCelsius);
        if (!_ideal)
        {
            emf = Math.Round((emf + (NoiseMillivolts * random)) / StepMillivolts) * StepMillivolts;
        }

        return _last = emf;
    }

    private double Healthy(double bead, double coldJunction) => _gain * (TypeK.MillivoltsAt(bead) - TypeK.MillivoltsAt(coldJunction));

    private double Faulty(double coldJunction, ActiveFaults faults, double machineSeconds)
    {
        double terminals = coldJunction + (faults.Find(FaultKind.ColdJunctionGradient, _channel)?.Amount ?? 0);
        double bead = _bead + ((faults.Find(FaultKind.SensorDrift, _channel)?.Amount ?? 0) * (_bead - terminals) / 205);
        double emf = faults.Find(FaultKind.WrongType, _channel) is null
            ? Healthy(bead, terminals)
            : TypeJ.MillivoltsAt(bead) - TypeJ.MillivoltsAt(terminals);
        if (faults.Find(FaultKind.Reversed, _channel) is not null)
        {
            emf = -emf;
        }

        if (faults.Find(FaultKind.Shorted, _channel) is not null)
        {
            emf = 0;
        }

        if (faults.Find(FaultKind.OpenDrifting, _channel) is { } drifting)
        {
            emf += drifting.Amount * faults.Since(drifting);
        }

        if (faults.Find(FaultKind.MainsPickup, _channel) is { } hum)
        {
            // Two feeds of slightly different phase beat: what a sampler sees of hum is never one clean line.
            emf += hum.Amount / 1000 * (Math.Sin(2 * Math.PI * MainsHertz * machineSeconds) + (0.5 * Math.Sin(2 * Math.PI * 3.01 * MainsHertz * machineSeconds)));
        }

        return emf;
    }
}
