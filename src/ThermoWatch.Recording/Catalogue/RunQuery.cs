using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Which runs are wanted; what is null does not matter.</summary>
/// <param name="Cell">Number of the cell.</param>
public sealed record RunQuery(int Cell)
{
    /// <summary>Only runs with a lower number: where the page before ended.</summary>
    public long? Before { get; init; }

    /// <summary>How many at most.</summary>
    public int Limit { get; init; } = 50;

    /// <summary>Only with this verdict.</summary>
    public Verdict? Verdict { get; init; }

    /// <summary>Only judged by a spec whose name contains this, whatever its case (ASCII).</summary>
    public string? SpecContains { get; init; }

    /// <summary>Only of this carrier.</summary>
    public string? Carrier { get; init; }

    /// <summary>Only of products whose name contains this, whatever its case (ASCII).</summary>
    public string? ProductContains { get; init; }

    /// <summary>Only runs with the board of this serial number.</summary>
    public string? Serial { get; init; }

    /// <summary>Only runs of which this was decided last.</summary>
    public DecisionKind? Decision { get; init; }

    /// <summary>
    /// Only runs that wait for a person: ended without a pass and nothing decided, or held or to be inspected since.
    /// </summary>
    public bool Open { get; init; }

    /// <summary>Only runs that end after this, or have not ended.</summary>
    public Timestamp? From { get; init; }

    /// <summary>Only runs that begin before this.</summary>
    public Timestamp? To { get; init; }
}

/// <summary>A step of an alarm, with its place in the history.</summary>
/// <param name="Id">Rises in the order of recording.</param>
/// <param name="Event">What happened.</param>
public sealed record AlarmStep(long Id, AlarmEvent Event);

/// <summary>Whose a run was, and when.</summary>
/// <param name="Number">Its number in its cell.</param>
/// <param name="Carrier">Its carrier.</param>
/// <param name="Start">When it began.</param>
public sealed record RunHead(long Number, string Carrier, Timestamp Start);
