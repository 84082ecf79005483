using System.Threading.Channels;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition;

/// <summary>Reads all devices of one cell and hands what they say to its loop.</summary>
/// <remarks>Devices on one wire share one bus with one thread; buses do not know of each other, so a dead one disturbs none.</remarks>
public sealed class AcquisitionRunner
{
    private readonly List<BusWorker> _buses = [];
    private readonly List<InputSink> _sinks = [];

    /// <param name="devices">Valid options, in the order in which the cell counts its devices.</param>
    /// <param name="inputs">The cell loop's bounded queue, in <see cref="BoundedChannelFullMode.Wait"/> mode.</param>
    /// <param name="clock">Names the times of the scans; on the same <paramref name="time"/>.</param>
    /// <param name="time">Clock of periods and deadlines.</param>
    /// <param name="jitterSeed">Seed of the random part of pauses between attempts.</param>
    public AcquisitionRunner(
        IReadOnlyList<DeviceOptions> devices, ChannelWriter<EngineInput> inputs, AnchoredClock clock, TimeProvider time, int jitterSeed)
    {
        foreach (var bus in devices.Select((options, index) => (options, index)).GroupBy(d => Wiring.BusOf(d.options) ?? $"alone {d.index}"))
        {
            (IConnection connection, IBusDevice[] seats) = Wiring.Build([.. bus], time);
            var sink = new InputSink(inputs);
            _sinks.Add(sink);
            _buses.Add(new BusWorker(connection, seats, sink, clock, time, new Random(unchecked(jitterSeed + _buses.Count))));
        }
    }

    /// <summary>Scans that were lost because the queue was full: a gap in the record.</summary>
    public long Lost => _sinks.Sum(s => s.Lost);

    /// <summary>How each device has been doing, in the cell's order.</summary>
    public IReadOnlyList<DeviceStatistics> Statistics => [.. _buses.SelectMany(b => b.Statistics).OrderBy(s => s.Index)];

    /// <summary>Runs all buses until told to stop; ends when all have ended.</summary>
    public Task RunAsync(CancellationToken stop) => Task.WhenAll(_buses.Select(bus =>
        Task.Factory.StartNew(() => bus.Run(stop), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default)));
}
