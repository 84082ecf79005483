using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Journal;

/// <summary>One entry of a cell's journal.</summary>
/// <param name="Sequence">Its number in the cell's journal, from 1, over all files.</param>
/// <param name="Time">Its own time, as it came with the data.</param>
public abstract record JournalEntry(long Sequence, Timestamp Time);

/// <summary>Something that moved the engine.</summary>
/// <param name="Sequence">Its number.</param>
/// <param name="Input">What it was, bit for bit.</param>
public sealed record InputEntry(long Sequence, EngineInput Input) : JournalEntry(Sequence, Input.Time);

/// <summary>The engine's state after every entry before this one.</summary>
/// <param name="Sequence">Its number.</param>
/// <param name="Time">Time of the state.</param>
/// <param name="State">Opaque to the journal.</param>
public sealed record SnapshotEntry(long Sequence, Timestamp Time, ReadOnlyMemory<byte> State) : JournalEntry(Sequence, Time);

/// <summary>Here entries could not be recorded: the disk refused for longer than memory could hold them.</summary>
/// <param name="Sequence">Its number; what was not recorded has none.</param>
/// <param name="Time">Time of the first that is missing.</param>
/// <param name="Last">Time of the last that is missing.</param>
/// <param name="Count">How many are missing.</param>
public sealed record GapEntry(long Sequence, Timestamp Time, Timestamp Last, long Count) : JournalEntry(Sequence, Time);

/// <summary>Entries that were recorded and are not there to be read. Never written: a reader finds it.</summary>
/// <param name="Sequence">Number of the first that is missing.</param>
/// <param name="LastSequence">Number of the last that is missing.</param>
/// <param name="Time">About when they were recorded; zero if nobody can tell.</param>
/// <param name="Reason">Why they are not there, in plain words.</param>
public abstract record MissingEntries(long Sequence, long LastSequence, Timestamp Time, string Reason) : JournalEntry(Sequence, Time);

/// <summary>Entries that can no longer be read, because of damage.</summary>
/// <param name="Sequence">Number of the first that is missing.</param>
/// <param name="LastSequence">Number of the last that is missing.</param>
/// <param name="Time">Time of the entry before the damage; zero if there is none.</param>
/// <param name="Reason">File, place and what is wrong with it.</param>
public sealed record DamagedEntries(long Sequence, long LastSequence, Timestamp Time, string Reason) : MissingEntries(Sequence, LastSequence, Time, Reason);

/// <summary>Entries that were taken out of the record on purpose; the chain of events says by whom and why.</summary>
/// <param name="Sequence">Number of the first that is missing.</param>
/// <param name="LastSequence">Number of the last that is missing.</param>
/// <param name="Time">Time of the first.</param>
/// <param name="Reason">That they were taken out.</param>
public sealed record RemovedEntries(long Sequence, long LastSequence, Timestamp Time, string Reason) : MissingEntries(Sequence, LastSequence, Time, Reason);

/// <summary>A state of the engine from which replaying can begin.</summary>
/// <param name="Sequence">Number of the snapshot's entry: replay continues with the next.</param>
/// <param name="Time">Time of the state.</param>
/// <param name="State">What was given to <see cref="CellJournal.AppendSnapshot"/>.</param>
public sealed record JournalSnapshot(long Sequence, Timestamp Time, ReadOnlyMemory<byte> State);
