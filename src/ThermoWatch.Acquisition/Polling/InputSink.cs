using System.Threading.Channels;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>Hands inputs to the cell loop. Never waits: a stalled loop must not stall a bus.</summary>
/// <remarks>
/// A scan that finds the queue full is lost and counted. A device state is kept until it fits,
/// the newest of each device: scans alone would not tell that a device is away.
/// </remarks>
internal sealed class InputSink(ChannelWriter<EngineInput> queue)
{
    private readonly Dictionary<int, DeviceStateInput> _waiting = [];
    private long _lost;

    /// <summary>Scans that did not fit; may be read by any thread.</summary>
    public long Lost => Volatile.Read(ref _lost);

    public void Write(ScanInput scan)
    {
        if (!Flush() || !queue.TryWrite(scan)) Volatile.Write(ref _lost, _lost + 1);
    }

    public void Write(DeviceStateInput state)
    {
        if (Flush() && queue.TryWrite(state)) return;
        _waiting[state.DeviceIndex] = state;
    }

    private bool Flush()
    {
        if (_waiting.Count == 0) return true;
        foreach ((int device, DeviceStateInput state) in _waiting)
        {
            if (!queue.TryWrite(state)) return false;
            _waiting.Remove(device);
        }

        return true;
    }
}
