using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Archive;

/// <summary>A long span of one point for drawing: nothing in it is averaged away, as every bucket has its least and most.</summary>
/// <param name="Width">Width of a bucket. Buckets lie on whole multiples of it, counted from 0001-01-01T00:00:00Z.</param>
/// <param name="Buckets">Those that hold a value, in order of time.</param>
/// <param name="Damaged">What could not be read; empty if everything could.</param>
public sealed record Overview(TimeSpan Width, IReadOnlyList<OverviewBucket> Buckets, IReadOnlyList<string> Damaged);

/// <summary>One bucket of an overview.</summary>
/// <param name="Start">Where it begins.</param>
/// <param name="Count">How many values have a number.</param>
/// <param name="Least">Least of them, raw.</param>
/// <param name="Most">Most of them, raw.</param>
/// <param name="Mean">Their mean, raw; good to the instrument's last digit.</param>
public readonly record struct OverviewBucket(Timestamp Start, long Count, double Least, double Most, double Mean);
