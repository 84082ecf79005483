using System.Collections.Immutable;

namespace ThermoWatch.Simulator.Faults;

/// <summary>The faults of the present run, asked at the present moment.</summary>
internal sealed class ActiveFaults
{
    private ImmutableArray<PlannedFault> _planned = [];
    private double _runSeconds;

    /// <summary>Whether any fault is planned; a run without needs no questions.</summary>
    public bool Any => !_planned.IsEmpty;

    public void Plan(ImmutableArray<PlannedFault> planned) => _planned = planned;

    /// <summary>One more fault in the present run.</summary>
    public void Add(PlannedFault fault) => _planned = _planned.Add(fault);

    public void At(double runSeconds) => _runSeconds = runSeconds;

    /// <summary>The acting fault of a kind, and channel where it has one.</summary>
    public PlannedFault? Find(FaultKind kind, int channel = -1)
    {
        if (_planned.IsEmpty)
        {
            return null;
        }

        foreach (PlannedFault fault in _planned)
        {
            if (fault.Kind == kind && fault.Channel == channel && fault.IsActive(_runSeconds))
            {
                return fault;
            }
        }

        return null;
    }

    /// <summary>Amount of an acting fault, or the value that stands for health.</summary>
    public double Amount(FaultKind kind, double healthy) => Find(kind)?.Amount ?? healthy;

    /// <summary>Seconds since an acting fault began, or since heating began if it was there before.</summary>
    public double Since(PlannedFault fault) => _runSeconds - Math.Max(fault.AtSeconds, 0);
}
