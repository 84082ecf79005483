using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Api;

/// <summary>The devices of one cell and who polls them.</summary>
/// <param name="Cell">The cell.</param>
/// <param name="Devices">Its devices, in its order.</param>
/// <param name="Runner">Polls them.</param>
internal sealed record CellLines(CellDefinition Cell, IReadOnlyList<DeviceOptions> Devices, AcquisitionRunner Runner);

/// <summary>Probes devices for people who set a machine up, without disturbing one that is being watched.</summary>
/// <remarks>A wire that a cell polls is probed by its runner between the polls; any other is opened for the time of the probe, once at a time.</remarks>
internal sealed class ProbeDesk
{
    private readonly IReadOnlyList<CellLines> _cells;
    private readonly TimeProvider _time;
    private readonly HashSet<string> _open = [];

    public ProbeDesk(IReadOnlyList<CellLines> cells, TimeProvider time)
    {
        _cells = cells;
        _time = time;
    }

    /// <summary>All cells and who polls their devices.</summary>
    public IReadOnlyList<CellLines> Lines => _cells;

    /// <summary>The time by which what is done here is noted.</summary>
    public Timestamp Now => Timestamp.From(_time.GetUtcNow());

    public IEnumerable<int> Cells => _cells.Select(c => c.Cell.Number);

    /// <summary>The devices of a cell; null if there is no such cell.</summary>
    public IReadOnlyList<ProbedDevice>? DevicesOf(int cell) =>
        _cells.FirstOrDefault(c => c.Cell.Number == cell) is { } found ? [.. found.Devices.Select(d => new ProbedDevice(d, found.Cell))] : null;

    /// <summary>Probes a device. Blocks.</summary>
    public ProbeOutcome Probe(ProbedDevice device, int answers, IProgress<ProbeProgress>? progress, CancellationToken stop)
    {
        ProbeOutcome outcome = Probe(device.Options, answers, progress, stop);
        return outcome.Report is { } report ? outcome with { Report = device.Converted(report, Now) } : outcome;
    }

    private ProbeOutcome Probe(DeviceOptions device, int answers, IProgress<ProbeProgress>? progress, CancellationToken stop)
    {
        foreach (CellLines cell in _cells)
        {
            if (cell.Runner.Probe(device, answers, stop, progress) is { } outcome)
            {
                return outcome;
            }
        }

        string wire = Wiring.BusOf(device) ?? device.Id;
        lock (_open)
        {
            if (!_open.Add(wire))
            {
                return new ProbeOutcome(null, $"The wire of this device ({wire}) is being probed already. Wait for that to end, or end it.");
            }
        }

        try
        {
            return new ProbeOutcome(Acquisition.Probing.Probe.Run(device, _time, answers, stop, progress), null);
        }
        finally
        {
            lock (_open)
            {
                _open.Remove(wire);
            }
        }
    }
}
