using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>What a person does with the boards of a run. It stands beside the verdict and never changes it.</summary>
public enum DecisionKind
{
    /// <summary>They go on.</summary>
    Release,

    /// <summary>They wait.</summary>
    Hold,

    /// <summary>They are looked at.</summary>
    Inspect,

    /// <summary>They are worked on again.</summary>
    Rework,

    /// <summary>They are given up.</summary>
    Scrap,
}

/// <summary>A decision, and who answers for it. A later one stands over an earlier one; none is ever erased.</summary>
/// <param name="Time">When it was made.</param>
/// <param name="Kind">What was decided.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Reason">Why, in the person's own words.</param>
/// <param name="Reference">Number of the document it rests on; null if there is none.</param>
/// <param name="What">For <see cref="DecisionKind.Inspect"/>: which joints, on which boards; null otherwise.</param>
public sealed record Decision(Timestamp Time, DecisionKind Kind, string By, string Reason, string? Reference = null, string? What = null)
{
    /// <summary>What must be said before this decision can stand; empty if nothing is missing.</summary>
    public IReadOnlyList<string> Missing()
    {
        List<string> found = [];
        if (string.IsNullOrWhiteSpace(By))
        {
            found.Add("by: a decision needs the name of the person who makes it.");
        }

        if (string.IsNullOrWhiteSpace(Reason))
        {
            found.Add("reason: say in a few words why.");
        }

        if (Kind == DecisionKind.Inspect && string.IsNullOrWhiteSpace(What))
        {
            found.Add("what: name the joints to look at, such as \"U3 on boards 2 and 4\".");
        }

        return found;
    }
}
