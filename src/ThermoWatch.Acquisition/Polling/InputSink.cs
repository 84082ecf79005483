using System.Globalization;
using System.Threading.Channels;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>Hands inputs to the cell loop. Never waits: a stalled loop must not stall a bus.</summary>
/// <remarks>
/// A scan that finds the queue full is lost and counted. As soon as there is room the loss is told: a bad scan at its first moment,
/// so that the gap stands in the record, and a device state that says how much and why. A device state is kept until it fits,
/// the newest of each device: scans alone would not tell that a device is away.
/// </remarks>
internal sealed class InputSink(ChannelWriter<EngineInput> queue)
{
    private readonly Dictionary<int, DeviceStateInput> _newest = [], _waiting = [];
    private readonly Dictionary<int, Loss> _losses = [];
    private readonly Queue<EngineInput> _telling = [];
    private long _lost;

    /// <summary>Scans that did not fit; may be read by any thread.</summary>
    public long Lost => Volatile.Read(ref _lost);

    /// <summary>Hands over a scan. False if it was lost.</summary>
    public bool Write(ScanInput scan)
    {
        if (Flush() && queue.TryWrite(scan)) return true;
        Volatile.Write(ref _lost, _lost + 1);
        if (!_losses.TryGetValue(scan.Scan.DeviceIndex, out Loss? loss))
            _losses[scan.Scan.DeviceIndex] = loss = new Loss(scan.Time, scan.Scan.Values.Length);
        loss.Count++;
        loss.Last = scan.Time;
        return false;
    }

    /// <summary>Hands over a device state, now or as soon as it fits.</summary>
    public void Write(DeviceStateInput state)
    {
        _newest[state.DeviceIndex] = state;
        if (Flush() && queue.TryWrite(state)) return;
        _waiting[state.DeviceIndex] = state;
    }

    private bool Flush()
    {
        foreach ((int device, Loss loss) in _losses)
        {
            if (_telling.Count > 0 || !queue.TryWrite(loss.ToScan(device))) break;
            _losses.Remove(device);
            _telling.Enqueue(new DeviceStateInput(loss.Last, device, DeviceState.Suspect, loss.ToString()));
            if (_newest.TryGetValue(device, out DeviceStateInput? state))
                _telling.Enqueue(state with { Time = new Timestamp(Math.Max(state.Time.UtcTicks, loss.Last.UtcTicks + 1)) });
            _waiting.Remove(device);
            if (!Tell()) return false;
        }

        if (!Tell() || _losses.Count > 0) return false;
        foreach ((int device, DeviceStateInput state) in _waiting)
        {
            if (!queue.TryWrite(state)) return false;
            _waiting.Remove(device);
        }

        return true;
    }

    private bool Tell()
    {
        while (_telling.TryPeek(out EngineInput? next))
        {
            if (!queue.TryWrite(next)) return false;
            _telling.Dequeue();
        }

        return true;
    }

    /// <summary>Scans of one device that were lost in a row.</summary>
    private sealed class Loss(Timestamp first, int points)
    {
        public long Count { get; set; }

        public Timestamp Last { get; set; }

        /// <summary>What stands in the record for them.</summary>
        public ScanInput ToScan(int device)
        {
            double[] values = new double[points];
            var qualities = new SignalQuality[points];
            Array.Fill(values, double.NaN);
            Array.Fill(qualities, SignalQuality.Bad(QualityReason.NoReading));
            return new ScanInput(new RawScan(device, first, values, qualities));
        }

        public override string ToString() => string.Create(CultureInfo.InvariantCulture,
            $"{Count} readings from {first.ToDateTimeOffset():HH:mm:ss.fff} to {Last.ToDateTimeOffset():HH:mm:ss.fff} UTC were lost, because recording could not follow. The record has a gap there. Check the disk and what else this computer does.");
    }
}
