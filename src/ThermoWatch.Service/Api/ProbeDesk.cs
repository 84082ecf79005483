using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Probing;

namespace ThermoWatch.Service.Api;

/// <summary>The devices of one cell and who polls them.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="Devices">Its devices.</param>
/// <param name="Runner">Polls them.</param>
internal sealed record CellLines(int Cell, IReadOnlyList<DeviceOptions> Devices, AcquisitionRunner Runner);

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

    public IEnumerable<int> Cells => _cells.Select(c => c.Cell);

    /// <summary>The devices of a cell; null if there is no such cell.</summary>
    public IReadOnlyList<DeviceOptions>? DevicesOf(int cell) => _cells.FirstOrDefault(c => c.Cell == cell)?.Devices;

    /// <summary>Probes a device. Blocks.</summary>
    public ProbeOutcome Probe(DeviceOptions device, int answers, IProgress<ProbeProgress>? progress, CancellationToken stop)
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
