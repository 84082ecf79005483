using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Keeping;

/// <summary>What is lost when a run's readings are taken out of the record. Sealed blocks go as a whole, so that a little time beside the run goes with it.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="Number">Number of the run.</param>
/// <param name="Problem">Why it cannot be done, and what to do; null if it can. The other fields then say nothing.</param>
/// <param name="Start">When the run began.</param>
/// <param name="End">When it ended.</param>
/// <param name="FirstSequence">Its first entry in the journal.</param>
/// <param name="LastSequence">Its last entry.</param>
/// <param name="Entries">Entries that go.</param>
/// <param name="Bytes">Bytes that they take on the disk.</param>
/// <param name="EntriesThatStay">Entries of the run that stay, because another run stands in the same block.</param>
public sealed record RunRemoval(
    int Cell, long Number, string? Problem, Timestamp? Start, Timestamp? End, long FirstSequence, long LastSequence, long Entries, long Bytes, long EntriesThatStay)
{
    /// <summary>What can never be had again.</summary>
    public static string Lost => "every reading and input of the run: its curves can no longer be drawn or exported, and it can no longer be judged or recalculated";

    /// <summary>What is kept.</summary>
    public static string Kept => "its row with figures, verdict and phases, its alarms, what people said and decided of it, and this decision";

    internal static RunRemoval Refused(int cell, long number, string problem) => new(cell, number, problem, null, null, 0, 0, 0, 0, 0);
}
