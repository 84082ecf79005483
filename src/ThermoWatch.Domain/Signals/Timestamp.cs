using System.Globalization;

namespace ThermoWatch.Domain.Signals;

/// <summary>A moment in UTC, counted in whole ticks of 100 ns from 0001-01-01T00:00:00Z.</summary>
/// <remarks>
/// Whole ticks, so that the difference of two moments is exact and a <see cref="TimeSpan"/>.
/// Never read from a clock in this assembly: it arrives with the data.
/// </remarks>
/// <param name="UtcTicks">100 ns ticks since 0001-01-01T00:00:00Z.</param>
public readonly record struct Timestamp(long UtcTicks) : IComparable<Timestamp>
{
    /// <summary>Ticks in a second.</summary>
    public const long TicksPerSecond = TimeSpan.TicksPerSecond;

    /// <summary>The moment that a date and time with offset names.</summary>
    public static Timestamp From(DateTimeOffset moment) => new(moment.UtcTicks);

    /// <summary>The same moment for display and for the wire; its offset is zero.</summary>
    public DateTimeOffset ToDateTimeOffset() => new(UtcTicks, TimeSpan.Zero);

    /// <summary>Milliseconds since 1970-01-01T00:00:00Z, as browsers count; good to under a microsecond.</summary>
    public double ToUnixMilliseconds() => (UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) / (double)TimeSpan.TicksPerMillisecond;

    /// <summary>Seconds from another moment to this one, negative if this one is earlier.</summary>
    public double SecondsSince(Timestamp earlier) => (UtcTicks - earlier.UtcTicks) / (double)TicksPerSecond;

    /// <summary>This moment moved by a number of seconds, rounded to a tick.</summary>
    public Timestamp AddSeconds(double seconds) => new(UtcTicks + (long)Math.Round(seconds * TicksPerSecond));

    /// <inheritdoc/>
    public int CompareTo(Timestamp other) => UtcTicks.CompareTo(other.UtcTicks);

    /// <summary>RFC 3339 in UTC with all seven decimals, as it stands in records and messages.</summary>
    public override string ToString() =>
        new DateTime(UtcTicks, DateTimeKind.Utc).ToString("yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'", CultureInfo.InvariantCulture);

    /// <summary>Time from the second moment to the first.</summary>
    public static TimeSpan operator -(Timestamp later, Timestamp earlier) => new(later.UtcTicks - earlier.UtcTicks);

    /// <summary>The moment that lies a span later.</summary>
    public static Timestamp operator +(Timestamp moment, TimeSpan span) => new(moment.UtcTicks + span.Ticks);

    /// <summary>The moment that lies a span earlier.</summary>
    public static Timestamp operator -(Timestamp moment, TimeSpan span) => new(moment.UtcTicks - span.Ticks);

    /// <summary>Whether the first moment is earlier.</summary>
    public static bool operator <(Timestamp left, Timestamp right) => left.UtcTicks < right.UtcTicks;

    /// <summary>Whether the first moment is later.</summary>
    public static bool operator >(Timestamp left, Timestamp right) => left.UtcTicks > right.UtcTicks;

    /// <summary>Whether the first moment is not later.</summary>
    public static bool operator <=(Timestamp left, Timestamp right) => left.UtcTicks <= right.UtcTicks;

    /// <summary>Whether the first moment is not earlier.</summary>
    public static bool operator >=(Timestamp left, Timestamp right) => left.UtcTicks >= right.UtcTicks;

    /// <inheritdoc cref="op_Subtraction(Timestamp, Timestamp)"/>
    public TimeSpan Subtract(Timestamp earlier) => this - earlier;

    /// <inheritdoc cref="op_Addition"/>
    public Timestamp Add(TimeSpan span) => this + span;
}
