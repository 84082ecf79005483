using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Everything that a cell's record means: curves, runs, phases, figures, alarms.</summary>
/// <remarks>
/// A pure function of its inputs, one after another: live, replayed, from a file, or from a snapshot on, the events
/// are the same to the bit. It reads no clock: time is the time in the inputs. Not for several threads at once.
/// Work is amortised constant for an input; memory holds the open runs and a few minutes besides.
/// </remarks>
public sealed partial class CellEngine
{
    /// <summary>How long chamber pressures are held outside runs: an evacuation may have begun that far back.</summary>
    private const long PressureHistoryTicks = 600 * Timestamp.TicksPerSecond;

    private readonly CellDefinition _cell;
    private readonly Reading[] _readings;
    private readonly ChannelTrack[] _channels;
    private readonly DeviceTrack[] _devices;
    private readonly CarrierTrack[] _carriers;
    private readonly ProductAlarms?[] _productAlarms;
    private readonly (CarrierTrack Carrier, ProductWatch Watch)?[] _products;
    private readonly ChannelTrack? _gauge;
    private readonly VacuumTracker _vacuum;
    private readonly CellConverter _converter;
    private long _nextRunNumber = 1;
    private Timestamp _now;

    /// <summary>An engine that has seen nothing yet.</summary>
    /// <param name="cell">The cell whose record it will be given.</param>
    /// <exception cref="ArgumentException">A channel names a device or a carrier that the cell does not have.</exception>
    public CellEngine(CellDefinition cell)
    {
        ArgumentNullException.ThrowIfNull(cell);
        _cell = cell;
        _converter = new CellConverter(cell);
        _readings = [.. cell.Channels.Select(_ => Reading.Bad(default, QualityReason.NoReading))];
        _channels = [.. cell.Channels.Select((c, i) => MakeTrack(cell, c, i))];
        _devices = [.. cell.Devices.Select(d => new DeviceTrack(d, [.. _channels.Where(c => c.Definition.Device == d.Id)]))];
        _gauge = _channels.FirstOrDefault(c => c.Definition.Role == ChannelRole.Pressure);
        _vacuum = new VacuumTracker(_gauge is not null && cell.Rules.LogarithmicGauges.Contains(_gauge.Definition.Id));
        _productAlarms = [.. _channels.Select(c => c.Definition.Role == ChannelRole.Product ? new ProductAlarms(c) : null)];
        _products = new (CarrierTrack, ProductWatch)?[_channels.Length];
        _carriers = [.. cell.Carriers.Select(MakeCarrier)];
    }

    /// <summary>Newest converted reading of each channel, in the order of the cell's channels; bad before the first.</summary>
    public ReadOnlySpan<Reading> Readings => _readings;

    /// <summary>Whether any carrier has an open run.</summary>
    public bool AnyRunOpen => _carriers.Any(c => c.Run is not null);

    /// <summary>Number that the next run will get.</summary>
    public long NextRunNumber => _nextRunNumber;

    /// <summary>Takes in one input.</summary>
    /// <param name="input">What happened; inputs come in the order of the journal.</param>
    /// <param name="events">What the engine found out is added to it.</param>
    public void Advance(EngineInput input, List<EngineEvent> events)
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(events);
        _now = input.Time > _now ? input.Time : _now;
        switch (input)
        {
            case ScanInput scan:
                OnScan(scan.Scan, events);
                break;
            case DeviceStateInput state:
                _devices[state.DeviceIndex].OnState(state);
                break;
            case SpecInput assigned:
                OnSpec(assigned, events);
                break;
            case AcknowledgeInput acknowledged:
                AddIfAny(events, AllAlarms().FirstOrDefault(a => a.Id == acknowledged.AlarmId)?.Acknowledge(acknowledged.Time));
                break;
            case StartRunInput start when CarrierOf(start.Carrier) is { Run: null } carrier:
                carrier.Begin(start.Time.UtcTicks, "command", start.Time, ref _nextRunNumber, events);
                break;
            case EndRunInput end when CarrierOf(end.Carrier) is { Run: not null } carrier:
                EndByCommand(carrier, end, events);
                break;
            default:
                break; // a tick moves nothing but time
        }

        foreach (DeviceTrack device in _devices)
        {
            device.OnTime(_now, _readings, events);
        }

        foreach (CarrierTrack carrier in _carriers)
        {
            carrier.OnTime(_now, events);
        }
    }

    /// <summary>The cell as it stands now. Costs work in proportion to the open runs.</summary>
    public CellPicture Picture()
    {
        var runs = ImmutableArray.CreateBuilder<RunPicture>();
        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.Picture(_now) is { } run)
            {
                runs.Add(run);
            }
        }

        ImmutableArray<AlarmPicture> alarms =
        [
            .. AllAlarms().Where(a => a.State != AlarmState.Normal).Select(a => a.ToPicture())
                .OrderByDescending(a => a.Since).ThenBy(a => a.Id, StringComparer.Ordinal),
        ];
        return new CellPicture(_now, runs.ToImmutable(), alarms, [.. _devices.Select(d => d.ToPicture())]);
    }

    private static ChannelTrack MakeTrack(CellDefinition cell, ChannelDefinition channel, int index)
    {
        TimeSpan period = DeviceOf(cell, channel).Period;
        return new ChannelTrack(index, channel, cell.Rules.NominalTicks(channel.Id, period), cell.Rules.GapTicks(channel.Id, period));
    }

    private static DeviceDefinition DeviceOf(CellDefinition cell, ChannelDefinition channel) =>
        cell.Devices.FirstOrDefault(d => d.Id == channel.Device)
        ?? throw new ArgumentException($"Channel {channel.Id} names device {channel.Device}, which the cell does not have.", nameof(cell));

    private static void AddIfAny(List<EngineEvent> events, EngineEvent? found)
    {
        if (found is not null)
        {
            events.Add(found);
        }
    }

    private CarrierTrack MakeCarrier(string name, int index)
    {
        // A product channel that names no carrier belongs to the first.
        var own = _channels.Where(c => c.Definition.Role == ChannelRole.Product
            && (c.Definition.Carrier ?? _cell.Carriers[0]) == name).Select(c => new ProductWatch(c)).ToImmutableArray();
        var carrier = new CarrierTrack(_cell, name, own, _gauge, _vacuum);
        foreach (ProductWatch watch in own)
        {
            _products[watch.Track.Index] = (carrier, watch);
        }

        return carrier;
    }

    private void OnScan(RawScan scan, List<EngineEvent> events)
    {
        DeviceTrack device = _devices[scan.DeviceIndex];
        device.OnScan(scan);
        _converter.Convert(scan, _readings);
        foreach (ChannelTrack channel in device.Channels)
        {
            ref Reading reading = ref _readings[channel.Index];
            bool grown = channel.Offer(ref reading);
            if (channel.Spike is { } spike)
            {
                events.Add(new SpikeEvent(reading.Time, channel.Definition.Id, spike));
            }

            if (grown)
            {
                OnGrown(channel, events);
            }
            else if (!reading.Quality.HasValue && _products[channel.Index] is { } product)
            {
                product.Carrier.OnRefused(reading.Time, events);
            }
        }
    }

    private void OnGrown(ChannelTrack channel, List<EngineEvent> events)
    {
        if (_products[channel.Index] is { } product)
        {
            product.Carrier.OnGrown(product.Watch, ref _nextRunNumber, events);
            AddIfAny(events, _productAlarms[channel.Index]!.OnGrown(product.Carrier.Run?.Number));
        }
        else if (channel == _gauge)
        {
            OnPressure(events);
        }
        else
        {
            channel.Curve.DropBefore(channel.Curve.LastTicks - RunRules.HistoryTicks);
        }
    }

    private void OnPressure(List<EngineEvent> events)
    {
        Curve curve = _gauge!.Curve;
        var now = new Timestamp(curve.LastTicks);
        VacuumFinding finding = _vacuum.Push(curve, _gauge.GapTicks, out VacuumStep? step);
        if (finding == VacuumFinding.Started && HottestOpen(step!.StartTicks) is { } owner)
        {
            owner.Run!.Steps.Add(step);
        }

        bool crossed = false;
        long keepFrom = curve.LastTicks - PressureHistoryTicks;
        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.Run is not { } run)
            {
                continue;
            }

            keepFrom = Math.Min(keepFrom, run.StartTicks);
            crossed = step is not null || (carrier.Spec?.Vacuum is { } vacuum && CrossedNow(curve, vacuum.TargetMillibar));
            if (finding == VacuumFinding.Shallow)
            {
                run.Note("shallowEvacuation");
            }

            if (crossed && run.Steps.Count > 0)
            {
                carrier.TellPhases(now, events);
            }
        }

        curve.DropBefore(keepFrom);
    }

    private static bool CrossedNow(Curve curve, double level) => curve.Count > 1
        && (curve.LastValue <= level) != (curve.ValueAt(curve.Next - 2) <= level);

    /// <summary>The carrier with the hottest product channel at that time: the chamber is working on it.</summary>
    private CarrierTrack? HottestOpen(long ticks)
    {
        CarrierTrack? best = null;
        double hottest = double.NegativeInfinity;
        foreach (CarrierTrack carrier in _carriers.Where(c => c.Run is not null))
        {
            best ??= carrier;
            foreach (ProductWatch watch in carrier.Products)
            {
                long after = watch.Track.Curve.FirstAtOrAfter(ticks + 1);
                if (after > watch.Track.Curve.First && watch.Track.Curve.ValueAt(after - 1) > hottest)
                {
                    (best, hottest) = (carrier, watch.Track.Curve.ValueAt(after - 1));
                }
            }
        }

        return best;
    }

    private void OnSpec(SpecInput input, List<EngineEvent> events)
    {
        if (CarrierOf(input.Carrier) is not { } carrier)
        {
            return;
        }

        carrier.Use(input.Spec, input.Time, events);
        foreach (ProductWatch watch in carrier.Products)
        {
            AddIfAny(events, _productAlarms[watch.Track.Index]!.Use(input.Spec, input.Time));
        }
    }

    private void EndByCommand(CarrierTrack carrier, EndRunInput end, List<EngineEvent> events)
    {
        // The record ends here, so the newest readings are judged without the followers that they wait for.
        foreach (ProductWatch watch in carrier.Products)
        {
            if (watch.Track.Flush(end.Time.UtcTicks))
            {
                OnGrown(watch.Track, events);
            }
        }

        if (_gauge is not null && _gauge.Flush(end.Time.UtcTicks))
        {
            OnPressure(events);
        }

        if (carrier.Run is not null)
        {
            carrier.End(end.Time.UtcTicks, "command", RunState.Ended, end.Time, events);
        }
    }

    private CarrierTrack? CarrierOf(string name) => Array.Find(_carriers, c => c.Name == name);

    private IEnumerable<Alarm> AllAlarms() =>
        _productAlarms.OfType<ProductAlarms>().Select(a => a.TooHot).Concat(_devices.Select(d => d.Silent));
}
