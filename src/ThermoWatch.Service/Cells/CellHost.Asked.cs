using System.Collections.Concurrent;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Cells;

/// <content>What others ask of a cell, beside its loop.</content>
internal sealed partial class CellHost
{
    private readonly ConcurrentDictionary<string, AlarmSource> _sources = new();

    /// <summary>What the cell itself does not know of an alarm, by condition, for its text: whoever reports such a condition says it, before the report.</summary>
    /// <param name="condition">The condition.</param>
    /// <param name="source">What there is to say; null if nothing.</param>
    public void Explain(string condition, AlarmSource? source)
    {
        if (source is null)
        {
            _sources.TryRemove(condition, out _);
        }
        else
        {
            _sources[condition] = source;
        }
    }

    /// <summary>Whether the cell has an alarm of that id, in whatever state.</summary>
    public bool HasAlarm(string alarmId) => _engine.AlarmIds.Contains(alarmId);

    /// <summary>Takes what somebody does, with the time of now; false if the queue is full and it was not taken.</summary>
    public bool TryTake(Func<Timestamp, EngineInput> input) => _inputs.Writer.TryWrite(input(_clock.Now));

    /// <summary>The same, and waits until it stands in the record.</summary>
    /// <returns>False if it was not taken: the queue is full, or the service ends.</returns>
    public async Task<bool> TakeAsync(Func<Timestamp, EngineInput> input) => (await OrderAsync(input)).Taken;

    /// <summary>The same, and says what became of it.</summary>
    public Task<OrderOutcome> OrderAsync(Func<Timestamp, EngineInput> input) => _orders.TakeAsync(input(_clock.Now), _inputs.Writer);

    /// <summary>Ids of all alarms that the cell can have.</summary>
    public IReadOnlyCollection<string> AlarmIds => _engine.AlarmIds;

    public Refill Since(long sequence) => RefillReader.Read(_journal, Definition, _packer, sequence, Detached.Between);

    /// <summary>Which readings of the past came from a thermocouple that had come off.</summary>
    public DetachedDesk Detached { get; }

    /// <summary>The uncertainty budget of a channel's newest reading, a quarter second old at most; null: there is no such channel.</summary>
    public BudgetLive? Budget(string channelId) => ReadingBudget.Of(Definition, _configuration.Spec?.Measurement, _readings, channelId);

    /// <summary>The record, from an entry on.</summary>
    public IEnumerable<JournalEntry> ReadFrom(long sequence) => _journal.ReadFrom(Math.Max(1, sequence));

    /// <summary>The cell as it was wired when an entry was recorded; as it is now where nobody can tell.</summary>
    public CellDefinition DefinitionAt(long sequence) => _journal.DefinitionAt(sequence) ?? Definition;

    /// <summary>A run that goes on, as it stood last; null if it does not go on.</summary>
    public RunPicture? OpenRun(long number) => _picture.Runs.FirstOrDefault(r => r.Number == number && r.End is null);

    /// <summary>A carrier's run that goes on, as it stood last; null if none does.</summary>
    public RunPicture? OpenRunOf(string carrier) => _picture.Runs.FirstOrDefault(r => r.Carrier == carrier && r.End is null);

    public CellLayout Layout()
    {
        Spec? spec = _configuration.Spec;
        UsualRun usual = _recorder.UsualOf(spec?.Name);
        return new CellLayout
        {
            Cell = Definition.Number,
            Name = Definition.Name,
            Demo = Demo,
            Session = _session,
            Channels = [.. Definition.Channels.Select(c => LiveMapping.ToLayout(c, spec))],
            Carriers = [.. Definition.Carriers],
            Devices = [.. Definition.Devices.Select(LiveMapping.ToLayout)],
            IntervalSeconds = Definition.Devices.Min(d => d.Period).TotalSeconds,
            FromSeq = Math.Max(0, (_recorder.FirstSequenceShown ?? _sequences.At(_clock.Now - TimeSpan.FromMinutes(2))) - 1),
            UsualCycleSeconds = usual.CycleSeconds,
            UsualPhases = usual.Phases,
            Spec = spec is null ? null : LayoutOf(spec),
            Specs = [.. _configuration.Products.Select(LayoutOf)],
            Now = _clock.Now.ToUnixMilliseconds(),
        };
    }

    /// <summary>A spec as it is shown, with what is usual of its own runs.</summary>
    public SpecLayout LayoutOf(Spec spec) => LiveMapping.ToLayout(spec, _recorder.UsualOf(spec.Name));

    /// <summary>Publishes the state although its period is not over.</summary>
    internal void PublishNow()
    {
        PublishState(_journal.LastSequence);
        Choose();
    }

    /// <summary>Takes what waits in the queue: for whoever moves the cell's time himself.</summary>
    internal IEnumerable<EngineInput> TakeQueued()
    {
        while (_inputs.Reader.TryRead(out EngineInput? input))
        {
            yield return input;
        }
    }
}
