using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>A sealed block, as whoever decides what is kept sees it.</summary>
/// <param name="FirstSequence">Its first entry.</param>
/// <param name="LastSequence">Its last entry.</param>
/// <param name="Earliest">Earliest time of its entries.</param>
/// <param name="Latest">Latest time of its entries.</param>
/// <param name="Bytes">Its bytes.</param>
/// <param name="HasSnapshot">Whether replaying can begin in it.</param>
/// <param name="IsRemoved">Whether it was taken out.</param>
public sealed record SealedStretch(long FirstSequence, long LastSequence, Timestamp Earliest, Timestamp Latest, long Bytes, bool HasSnapshot, bool IsRemoved)
{
    internal static SealedStretch Of(SealedBlock block) => new(block.Header.FirstSequence, block.Header.LastSequence, block.Header.Earliest, block.Header.Latest,
        block.Header.BlockLength, block.Header.Snapshots > 0, block.Header.IsRemoved);
}
