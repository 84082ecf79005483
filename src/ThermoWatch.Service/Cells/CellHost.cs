using System.Threading.Channels;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Cells;

/// <summary>
/// One cell at work: owns its engine, and runs its loop on one task. Take what came, journal it, advance the engine,
/// hand on what it found. Publishers run behind it and never slow it.
/// </summary>
internal sealed partial class CellHost
{
    private const int BatchSize = 256;
    private static readonly TimeSpan StatePeriod = TimeSpan.FromMilliseconds(250);
    private static readonly TimeSpan LeadIn = TimeSpan.FromSeconds(5);

    private readonly CellConfiguration _configuration;
    private readonly CellJournal _journal;
    private readonly RunRecorder _recorder;
    private readonly NewsDesk _news;
    private readonly AnchoredClock _clock;
    private readonly TimeProvider _time;
    private readonly ILogger _log;
    private readonly Channel<EngineInput> _inputs;
    private readonly FramePacker _packer;
    private readonly FilterBank _filters;
    private readonly SequenceIndex _sequences = new();
    private readonly SnapshotKeeper _snapshots;
    private readonly SelfWatch _self = new();
    private readonly RecordingWatch _recording;
    private readonly ProductDesk _products;
    private readonly PendingOrders _orders = new();
    private readonly List<EngineEvent> _events = [];
    private readonly string _session = Guid.NewGuid().ToString("N");
    private CellEngine _engine;
    private bool _replaying;
    private long _stateSent;
    private bool _stateDue = true;
    private volatile CellPicture _picture;
    private volatile CellState _state;
    private volatile Reading[] _readings = [];

    public CellHost(CellConfiguration configuration, CellJournal journal, RunRecorder recorder, Viewers viewers, NodeMode mode, ILogger log)
    {
        _configuration = configuration;
        _journal = journal;
        _recorder = recorder;
        _news = new NewsDesk(Definition.Number, viewers.Of(Definition.Number));
        _clock = mode.Clock;
        _time = mode.Time;
        _log = log;
        Demo = mode.Demo;
        _packer = new FramePacker(Definition);
        _filters = new FilterBank(Definition);
        _snapshots = new SnapshotKeeper(journal);
        _recording = new RecordingWatch(Definition.Number, log);
        _products = new ProductDesk(Definition.Number, new SpecChoice(configuration.Products), Usually, recorder);
        Detached = new DetachedDesk(this, recorder);
        _engine = new CellEngine(Definition);
        _picture = _engine.Picture();
        _state = _picture.ToLive(Definition, 0, [], _ => UsualRun.None, _sources);
        _inputs = Channel.CreateBounded<EngineInput>(new BoundedChannelOptions(QueueLength(Definition)) { SingleReader = true });
    }

    public CellDefinition Definition => _configuration.Definition;

    /// <summary>The spec in force; null without one.</summary>
    public Spec? Spec => _configuration.Spec;

    /// <summary>Specs of the products that may be soldered.</summary>
    public IReadOnlyList<Spec> Products => _configuration.Products;

    /// <summary>When a verification run is due; null: never by itself.</summary>
    public VerificationRule? Verification => _configuration.Verification;

    /// <summary>How runs, alarms and devices stood when the state was last published.</summary>
    public CellPicture Picture => _picture;

    /// <summary>The channels' readings of then.</summary>
    public IReadOnlyList<Reading> Readings => _readings;

    /// <summary>The cell's own time.</summary>
    public Timestamp Now => _clock.Now;

    public bool Demo { get; }

    public CellState State => _state;

    /// <summary>Whether its record is still empty.</summary>
    public bool IsNew => _journal.LastSequence == 0;

    /// <summary>Time of the oldest input that waits to be taken; null if none does.</summary>
    public Timestamp? FirstWaiting => _inputs.Reader.TryPeek(out EngineInput? first) ? first.Time : null;

    /// <summary>Where drivers put what they read. Holds a minute; a write that is refused is a marked loss, never a wait.</summary>
    public ChannelWriter<EngineInput> Inputs => _inputs.Writer;

    /// <summary>Rebuilds the engine from the journal: the newest snapshot, then everything after it, as it was lived.</summary>
    /// <param name="fromTheBeginning">Lives through all of it, because the catalogue has lost runs that only the journal can give back.</param>
    public void Recover(bool fromTheBeginning = false)
    {
        foreach (JournalLoss loss in _journal.Losses)
        {
            Log.RecordDamaged(_log, Definition.Number, loss.ToString());
        }

        long from = 1;
        if (!fromTheBeginning && _snapshots.Latest() is { } snapshot)
        {
            try
            {
                _engine = CellEngine.Restore(Definition, new BinaryReader(new MemoryStream(snapshot.State.ToArray())));
                from = snapshot.Sequence + 1;
            }
            catch (Exception e) when (e is InvalidDataException or EndOfStreamException)
            {
                // Another version of the program wrote it. The record itself is all there: living through it takes longer, no more.
                Log.SnapshotOfAnotherVersion(_log, Definition.Number, e.Message);
            }
        }

        _replaying = true;
        foreach (JournalEntry entry in _journal.ReadFrom(from))
        {
            if (entry is InputEntry { Input: var input })
            {
                Advance(entry.Sequence, input);
            }
        }

        _replaying = false;
        _products.Resume(Definition.Carriers);
        PublishState(_journal.LastSequence);
    }

    /// <summary>Journals inputs and advances the engine by them, in order: the only way into the record.</summary>
    public void Process(ReadOnlySpan<EngineInput> batch)
    {
        long sequence = _journal.AppendBatch(batch);
        _recording.Look(_journal.Health);
        foreach (EngineInput input in batch)
        {
            if (input is not AlarmInput)
            {
                _orders.Kept(input);
            }

            Advance(sequence, input);
            if (input is AlarmInput order)
            {
                // Only now is it known whether its state allowed that.
                bool changed = _events.Exists(e => e is AlarmEvent step && AlarmOrders.IsOf(step, order));
                _orders.Kept(order, new OrderOutcome(Taken: true, changed, _engine.AlarmStateOf(order.AlarmId)));
            }
            else if (input is DeviceStateInput device)
            {
                Say(device);
            }
            else if (input is ClockStepInput step)
            {
                Log.ClockStepped(_log, Definition.Number, step.Step.TotalSeconds);
            }
            else if (input is ScanInput scan)
            {
                _news.Take(_packer.Pack(sequence, scan.Scan, _engine.Readings));
            }

            sequence++;
        }

        _snapshots.TakeWhenQuiet(_engine, batch[^1].Time);
        long now = _time.GetTimestamp();
        if (_stateDue || _time.GetElapsedTime(_stateSent, now) >= StatePeriod)
        {
            _stateSent = now;
            PublishState(sequence - 1);
            Choose();
        }
        else
        {
            _news.Tell(state: null);
        }
    }

    private void Advance(long sequence, EngineInput input)
    {
        _sequences.Add(input.Time, sequence);
        _events.Clear();
        _engine.Advance(input, _events);
        if (input is ScanInput { Scan: var scan })
        {
            _filters.Take(scan, _engine.Readings);
        }

        foreach (EngineEvent found in _events)
        {
            if (found is MarkEvent mark && !_replaying)
            {
                _news.Take(mark);
            }

            // A spike is one reading among others; what was lost of a channel since its last sure second is a gap of the run, and so in its state.
            if (found is SpikeEvent)
            {
                continue;
            }

            _stateDue = true;
            if (found is RunEvent { State: RunState.Started } started)
            {
                _recorder.Began(started, _sequences.At(started.Start - LeadIn));
            }
            else if (found is RunEvent ended)
            {
                _recorder.Ended(ended, sequence, _engine.LastRun(ended.Carrier)!);
                if (!_replaying)
                {
                    _journal.CloseSegment(); // so that the run is sealed now, not within the hour
                }
            }
            else if (found is AlarmEvent alarm)
            {
                _recorder.Alarm(alarm);
            }
        }
    }

    private void PublishState(long sequence)
    {
        _stateDue = false;
        _picture = _engine.Picture();
        _state = _picture.ToLive(Definition, sequence, _filters.ToLive(), _recorder.UsualOf, _sources);
        _readings = [.. _engine.Readings];
        _news.Tell(_state);
    }

    private void Say(DeviceStateInput device)
    {
        _stateDue = true;
        string name = Definition.Devices[device.DeviceIndex].Name;
        if (device.State == DeviceState.Up)
        {
            Log.DeviceAnswers(_log, Definition.Number, name);
        }
        else if (device.State is DeviceState.Down or DeviceState.Suspect)
        {
            Log.DeviceTrouble(_log, Definition.Number, name, Words.Of(device.State), device.Reason);
        }
    }

    private static int QueueLength(CellDefinition cell) =>
        (int)Math.Ceiling(cell.Devices.Sum(d => 60 / d.Period.TotalSeconds)) + 1024;
}
