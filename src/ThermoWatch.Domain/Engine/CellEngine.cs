using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Alarms.Conditions;
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

    private const int UsualReadings = 1024;

    private readonly CellDefinition _cell;
    private readonly Reading[] _readings;
    private readonly ChannelTrack[] _channels;
    private readonly DeviceTrack[] _devices;
    private readonly CarrierTrack[] _carriers;
    private readonly AlarmBoard _alarms;
    private readonly (CarrierTrack Carrier, ProductWatch Watch)?[] _products;
    private readonly SignalWatch?[] _signals;
    private readonly SignalWatch[][] _signalsOfDevice;
    private readonly ChannelTrack? _gauge;
    private readonly VacuumTracker _vacuum;
    private readonly CellConverter _converter;
    private long _nextRunNumber = 1;
    private Timestamp _now;

    /// <summary>An engine that has seen nothing yet.</summary>
    /// <param name="cell">The cell whose record it will be given.</param>
    /// <exception cref="ArgumentException">A channel names a device or a carrier that the cell does not have.</exception>
    public CellEngine(CellDefinition cell)
        : this(cell, null)
    {
    }

    /// <param name="cell">The cell.</param>
    /// <param name="readings">Readings of each channel that will come, where that is known; null: live.</param>
    internal CellEngine(CellDefinition cell, long[]? readings)
    {
        ArgumentNullException.ThrowIfNull(cell);
        _cell = cell;
        _converter = new CellConverter(cell);
        _readings = [.. cell.Channels.Select(_ => Reading.Bad(default, QualityReason.NoReading))];
        _channels = [.. cell.Channels.Select((c, i) => MakeTrack(cell, c, i, RoomFor(c, readings?[i])))];
        _devices = [.. cell.Devices.Select(d => new DeviceTrack(d, [.. _channels.Where(c => c.Definition.Device == d.Id)]))];
        _gauge = _channels.FirstOrDefault(c => c.Definition.Role == ChannelRole.Pressure);
        _vacuum = new VacuumTracker(_gauge is not null && cell.Rules.LogarithmicGauges.Contains(_gauge.Definition.Id));
        _products = new (CarrierTrack, ProductWatch)?[_channels.Length];
        _signals = [.. _channels.Select(c => c.Definition.Role is ChannelRole.Signal or ChannelRole.Position or ChannelRole.Motion ? new SignalWatch(c) : null)];
        _signalsOfDevice = [.. _devices.Select(d => d.Channels.Select(c => _signals[c.Index]).OfType<SignalWatch>().OrderBy(s => s.Order).ToArray())];
        _valve = _signals.FirstOrDefault(s => s?.Track.Definition is { Role: ChannelRole.Signal, Signal: SignalMeaning.Valve });
        _chamberPosition = _signals.FirstOrDefault(s => s?.Track.Definition is { Role: ChannelRole.Position, Carrier: null });
        _barometer = _channels.FirstOrDefault(c => c.Definition.Role == ChannelRole.Barometer);
        _vapour = _channels.FirstOrDefault(c => c.Definition.Role == ChannelRole.Vapour) is { } vapour ? new VapourWatch(vapour) : null;
        _carriers = [.. cell.Carriers.Select(MakeCarrier)];
        _alarms = new AlarmBoard(cell, _readings, _channels, _devices, _carriers, _gauge, _vacuum, VapourPressureFor);
    }

    /// <summary>Newest converted reading of each channel, in the order of the cell's channels; bad before the first.</summary>
    public ReadOnlySpan<Reading> Readings => _readings;

    /// <summary>Whether any carrier has an open run.</summary>
    public bool AnyRunOpen => _carriers.Any(c => c.Run is not null);

    /// <summary>Number that the next run will get.</summary>
    public long NextRunNumber => _nextRunNumber;

    /// <summary>The spec in force for a carrier; null without one.</summary>
    public Specs.Spec? SpecOf(string carrier) => CarrierOf(carrier)?.Spec;

    /// <summary>The last run of a carrier that has ended, although its next one may have begun in the same moment; null before the first.</summary>
    public RunPicture? LastRun(string carrier) => CarrierOf(carrier)?.Last;

    /// <summary>Names of the conditions that alarms watch.</summary>
    public static IReadOnlyList<string> Conditions => ConditionList.Names;

    /// <summary>Ids of all alarms that the cell can have; they stay the same for the engine's life.</summary>
    public IReadOnlyCollection<string> AlarmIds => _alarms.Ids;

    /// <summary>State of an alarm; normal too where the cell has none of that id.</summary>
    public AlarmState AlarmStateOf(string alarmId) => _alarms.StateOf(alarmId);

    /// <summary>Takes in one input.</summary>
    /// <param name="input">What happened; inputs come in the order of the journal.</param>
    /// <param name="events">What the engine found out is added to it.</param>
    public void Advance(EngineInput input, List<EngineEvent> events)
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(events);
        _now = input.Time > _now ? input.Time : _now;
        int before = events.Count;
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
            case AlarmInput or ReportInput or ClockStepInput:
                _alarms.OnInput(input, events);
                break;
            case StartRunInput start when CarrierOf(start.Carrier) is { Run: null } carrier:
                carrier.Begin(
                    new RunStart(start.Time.UtcTicks, "command", start.Time, start.Kind, start.Recipe), ref _nextRunNumber, events);
                break;
            case EndRunInput end when CarrierOf(end.Carrier) is { Run: not null } carrier:
                EndHere(carrier, end.Time, "command", events);
                break;
            case RunKindInput said:
                CarrierOf(said.Carrier)?.Say(said.Kind);
                break;
            case InterventionInput acted:
                CarrierOf(acted.Carrier)?.Intervene();
                break;
            default:
                break; // a tick moves nothing but time
        }

        bool silence = false;
        foreach (DeviceTrack device in _devices)
        {
            silence |= device.OnTime(_now, _readings);
        }

        foreach (CarrierTrack carrier in _carriers)
        {
            carrier.OnTime(_now, events);
        }

        if (_ownerless)
        {
            AdoptStep();
        }

        _alarms.OnTime(_now, silence || events.Count > before || input is not (ScanInput or TickInput), events);
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

        return new CellPicture(_now, runs.ToImmutable(), _alarms.Told(), [.. _devices.Select(d => d.ToPicture())]) { Hidden = _alarms.Hidden() };
    }

    private static ChannelTrack MakeTrack(CellDefinition cell, ChannelDefinition channel, int index, int readings)
    {
        TimeSpan period = DeviceOf(cell, channel).Period;
        return new ChannelTrack(index, channel, cell.Rules.NominalTicks(channel.Id, period), cell.Rules.GapTicks(channel.Id, period), readings);
    }

    /// <summary>Readings to have room for: a run's, where figures of a run are computed from them.</summary>
    private static int RoomFor(ChannelDefinition channel, long? readings) => readings is { } known && channel.Role is ChannelRole.Product
        or ChannelRole.Pressure or ChannelRole.Vapour or ChannelRole.Transport or ChannelRole.Barometer
        ? (int)Math.Clamp(known, 16, Array.MaxLength)
        : UsualReadings;

    private static DeviceDefinition DeviceOf(CellDefinition cell, ChannelDefinition channel) =>
        cell.Devices.FirstOrDefault(d => d.Id == channel.Device)
        ?? throw new ArgumentException($"Channel {channel.Id} names device {channel.Device}, which the cell does not have.", nameof(cell));

    private CarrierTrack MakeCarrier(string name, int index)
    {
        // A product channel that names no carrier belongs to the first.
        var own = _channels.Where(c => c.Definition.Role == ChannelRole.Product
            && (c.Definition.Carrier ?? _cell.Carriers[0]) == name).Select(c => new ProductWatch(c)).ToImmutableArray();
        var carrier = new CarrierTrack(_cell, name, PartsOf(name, own), _vacuum);
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
            if (_signals[channel.Index] is not null)
            {
                continue;
            }

            ref Reading reading = ref _readings[channel.Index];
            bool grown = channel.Offer(ref reading);
            if (channel.FoundSpike)
            {
                events.Add(new SpikeEvent(reading.Time, channel.Definition.Id, channel.Spike));
            }

            if (grown)
            {
                OnGrown(channel, events);
            }
            else if (!reading.Quality.HasValue && _products[channel.Index] is { } product)
            {
                product.Carrier.OnRefused(reading.Time, events);
            }

            if (!channel.IsSure && SpikeRule.MayBeJudged(reading.Quality))
            {
                reading = reading with { Quality = SignalQuality.Uncertain(QualityReason.Detached) };
            }
        }

        OnSignals(scan.DeviceIndex, events); // after the readings of the same moment, so that a run that ends now has them
    }

    private void OnGrown(ChannelTrack channel, List<EngineEvent> events)
    {
        if (_products[channel.Index] is { } product)
        {
            product.Carrier.OnGrown(product.Watch, ref _nextRunNumber, events);
        }
        else if (channel == _gauge)
        {
            OnPressure(events);
        }
        else
        {
            OnShared(channel, events);
        }

        _alarms.OnGrown(channel, events);
    }

    private void OnSpec(SpecInput input, List<EngineEvent> events)
    {
        CarrierOf(input.Carrier)?.Use(input.Spec, input.Term, input.Time, events);
    }

    /// <summary>Ends a run at a time that somebody, or a signal, says.</summary>
    private void EndHere(CarrierTrack carrier, Timestamp time, string reason, List<EngineEvent> events)
    {
        // The record ends here, so the newest readings are judged without the followers that they wait for.
        long number = carrier.Run!.Number;
        foreach (ProductWatch watch in carrier.Products)
        {
            if (watch.Track.Flush(time.UtcTicks))
            {
                OnGrown(watch.Track, events);
            }
        }

        if (_gauge is not null && _gauge.Flush(time.UtcTicks))
        {
            OnPressure(events);
        }

        if (carrier.Run?.Number == number)
        {
            carrier.End(time.UtcTicks, reason, RunState.Ended, time, events);
        }
    }

    private CarrierTrack? CarrierOf(string name) => Array.Find(_carriers, c => c.Name == name);
}
