using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds;

/// <summary>A part of the record that has one order: the journal of a cell, or the events of the node. Positions are whole numbers from 1.</summary>
public interface IFeedLane
{
    /// <summary>Names it among the lanes of a feed; stands in the file of positions.</summary>
    string Name { get; }

    /// <summary>Position of the newest entry; zero if there is none.</summary>
    long End { get; }

    /// <summary>Up to here entries outlive a power cut: after one, a later position may come to stand for something else.</summary>
    long Settled { get; }

    /// <summary>A reader of its own: live sending and each backfill have one.</summary>
    IFeedReader Open();

    /// <summary>The entries of a span of time, with a few more at both ends.</summary>
    /// <param name="from">Earliest time.</param>
    /// <param name="to">Latest time; null: no end.</param>
    /// <returns>The last position before the span, and the last in it.</returns>
    (long After, long Through) Span(Timestamp from, Timestamp? to);
}

/// <summary>Reads a lane from one position to the next. Not for use by two threads at once.</summary>
public interface IFeedReader : IDisposable
{
    /// <summary>The entries behind a position, in order.</summary>
    /// <param name="after">Position of the last entry that is not wanted.</param>
    /// <param name="through">Position of the last that is.</param>
    /// <param name="mostReadings">About how many readings at most; at least one entry is read.</param>
    FeedBatch Read(long after, long through, int mostReadings);
}

/// <summary>What is sent at once, and confirmed at once.</summary>
/// <param name="Lane">Name of its lane.</param>
/// <param name="Items">In the order of recording.</param>
/// <param name="Through">Position of the last entry that it covers; entries that no feed sends have none of the items.</param>
/// <param name="IsHistorical">Whether newer values may have been sent already: it must not move a live value.</param>
public sealed record FeedBatch(string Lane, IReadOnlyList<FeedItem> Items, long Through, bool IsHistorical = false)
{
    /// <summary>How many readings the items stand for.</summary>
    public int Weight { get; } = Items.Sum(item => item.Weight);
}
