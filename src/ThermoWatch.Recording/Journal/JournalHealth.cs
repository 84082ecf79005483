using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Journal;

/// <summary>How recording stands.</summary>
public enum JournalState
{
    /// <summary>Every entry goes to the disk.</summary>
    Recording,

    /// <summary>The disk refuses; new entries wait in memory and will be written when it lets them.</summary>
    Waiting,

    /// <summary>The disk refuses and memory is full: new entries are lost, and counted.</summary>
    Losing,
}

/// <summary>How recording stands, and why.</summary>
/// <param name="State">How it stands.</param>
/// <param name="Reason">What the disk said; empty while recording.</param>
/// <param name="Since">Since when it does not record; null while it does.</param>
/// <param name="WaitingEntries">Entries that have a number and are only in memory.</param>
/// <param name="NotRecorded">Entries that were lost since the journal was opened.</param>
public sealed record JournalHealth(JournalState State, string Reason, Timestamp? Since, long WaitingEntries, long NotRecorded);

/// <summary>Something that opening a journal found missing or damaged. It is said, and the journal goes on.</summary>
/// <param name="File">Name of the file.</param>
/// <param name="Offset">Where in the file, in bytes.</param>
/// <param name="FirstSequence">Number of the first entry that is lost; null if none is known to be.</param>
/// <param name="LastSequence">Number of the last; null if not known.</param>
/// <param name="Reason">What was found and what was done, in plain words.</param>
public sealed record JournalLoss(string File, long Offset, long? FirstSequence, long? LastSequence, string Reason);

/// <summary>Up to where a cell's entries are sealed.</summary>
/// <param name="LastSequence">Number of the last sealed entry; zero if none is.</param>
/// <param name="Hash">Hash of the last block, in hexadecimal: it stands for every byte before it.</param>
public sealed record JournalSeal(long LastSequence, string Hash);
