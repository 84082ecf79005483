using System.Threading.Channels;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition;

/// <summary>Reads all devices of one cell and hands what they say to its loop.</summary>
/// <remarks>Devices on one wire share one bus with one thread; buses do not know of each other, so a dead one disturbs none.</remarks>
public sealed class AcquisitionRunner
{
    /// <summary>What an exchange needs beside the time of its bytes on the wire: a device that takes longer is probed with the polls stopped.</summary>
    private static readonly TimeSpan LeastAnswerTime = TimeSpan.FromMilliseconds(20);

    private readonly List<BusWorker> _buses = [];
    private readonly List<InputSink> _sinks = [];
    private readonly List<(string? Wire, DeviceOptions[] Devices)> _wires = [];
    private readonly HashSet<BusWorker> _probed = [];
    private readonly TimeProvider _time;

    /// <param name="devices">Valid options, in the order in which the cell counts its devices.</param>
    /// <param name="inputs">The cell loop's bounded queue, in <see cref="BoundedChannelFullMode.Wait"/> mode.</param>
    /// <param name="clock">Names the times of the scans; on the same <paramref name="time"/>.</param>
    /// <param name="time">Clock of periods and deadlines.</param>
    /// <param name="jitterSeed">Seed of the random part of pauses between attempts.</param>
    public AcquisitionRunner(
        IReadOnlyList<DeviceOptions> devices, ChannelWriter<EngineInput> inputs, AnchoredClock clock, TimeProvider time, int jitterSeed)
    {
        _time = time;
        foreach (var bus in devices.Select((options, index) => (options, index)).GroupBy(d => Wiring.BusOf(d.options) ?? $"alone {d.index}"))
        {
            (IConnection connection, IBusDevice[] seats) = Wiring.Build([.. bus], time);
            var sink = new InputSink(inputs);
            _sinks.Add(sink);
            _buses.Add(new BusWorker(connection, seats, sink, clock, time, new Random(unchecked(jitterSeed + _buses.Count))));
            _wires.Add((Wiring.BusOf(bus.First().options), [.. bus.Select(d => d.options)]));
        }
    }

    /// <summary>Scans that were lost because the queue was full: a gap in the record.</summary>
    public long Lost => _sinks.Sum(s => s.Lost);

    /// <summary>How each device has been doing, in the cell's order.</summary>
    public IReadOnlyList<DeviceStatistics> Statistics => [.. _buses.SelectMany(b => b.Statistics).OrderBy(s => s.Index)];

    /// <summary>The wires, each with the places of its devices in the cell's list and, on a Modbus wire, what happened on it.</summary>
    public IReadOnlyList<(string Name, IReadOnlyList<int> Devices, ModbusCounters? Counters)> Wires =>
        [.. _buses.Select(b => (b.Connection.Name, (IReadOnlyList<int>)[.. b.Statistics.Select(s => s.Index)], (b.Connection as IModbusClient)?.Counters))];

    /// <summary>A device's options as they are now.</summary>
    /// <param name="index">Its place in the cell's list.</param>
    public DeviceOptions Options(int index) => Seat(index).Options;

    /// <summary>Changes how a device is asked, from its next request on and until the service ends.</summary>
    /// <param name="index">Its place in the cell's list.</param>
    /// <param name="settings">What is to change.</param>
    /// <returns>All that is wrong with the settings, and then nothing has changed; empty if they are in force.</returns>
    public IReadOnlyList<ConfigurationFault> Change(int index, ExchangeSettings settings)
    {
        IBusDevice seat = Seat(index);
        (DeviceOptions? changed, IReadOnlyList<ConfigurationFault> faults) = settings.Apply(seat.Options);
        if (changed is not null) seat.Change(changed);
        return faults;
    }

    private IBusDevice Seat(int index) => _buses.Select(b => b.Find(index)).First(d => d is not null)!;

    /// <summary>Runs all buses until told to stop; ends when all have ended.</summary>
    public Task RunAsync(CancellationToken stop) => Task.WhenAll(_buses.Select(bus =>
        Task.Factory.StartNew(() => bus.Run(stop), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default)));

    /// <summary>Probes a device on a wire that is polled here, between the polls and without delaying them. Blocks; call it while running.</summary>
    /// <param name="options">Valid options; the device need not be one of those polled.</param>
    /// <param name="answers">How many answers to time.</param>
    /// <param name="stop">Ends it early; the report then holds what was found so far.</param>
    /// <param name="progress">Told what it is doing, on the caller's thread.</param>
    /// <returns>Null if the wire is not polled here: then <see cref="Probing.Probe.Run"/> may open it.</returns>
    public ProbeOutcome? Probe(DeviceOptions options, int answers, CancellationToken stop, IProgress<ProbeProgress>? progress = null)
    {
        int at = Wiring.BusOf(options) is { } wire ? _wires.FindIndex(w => w.Wire == wire) : -1;
        if (at < 0) return null;
        DeviceOptions[] polled = _wires[at].Devices;
        string names = string.Join(", ", polled.Select(d => $"'{d.Id}'"));
        if (options is TextDeviceOptions ? !polled.Contains(options) : Wiring.Clashes([polled[0], options], "").Count > 0)
            return new(null, $"The service polls {names} on {_buses[at].Connection.Name} with other settings, and to try these would disturb it. Probe a device with the line's settings, or delete {names} from the configuration first.");
        lock (_probed)
            if (!_probed.Add(_buses[at])) return new(null, $"{_buses[at].Connection.Name} is being probed already. Wait for that to end, or end it.");
        try
        {
            return new(Visit(options, _buses[at], answers, stop, progress), null);
        }
        finally
        {
            lock (_probed) _probed.Remove(_buses[at]);
        }
    }

    private ProbeReport Visit(DeviceOptions options, BusWorker bus, int answers, CancellationToken stop, IProgress<ProbeProgress>? progress)
    {
        if (options is TextDeviceOptions text) return TextProbe.Overhear(text, bus, _time, stop, progress);
        var modbus = (ModbusDeviceOptions)options;
        int longest = modbus.Points.Max(p => p.Length);
        TimeSpan least = LeastAnswerTime + ((modbus as ModbusRtuDeviceOptions)?.Serial.WireTime(8 + 5 + (2 * longest)) ?? TimeSpan.Zero);
        return new ModbusProbe(modbus, _ => new VisitingClient((IModbusClient)bus.Connection, bus.Loans, least, _time, stop), _time, answers, progress).Run(stop);
    }
}
