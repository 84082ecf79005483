using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>What was done to the machine.</summary>
public enum ServiceKind
{
    /// <summary>Oil of the vacuum pump.</summary>
    Oil,

    /// <summary>A filter.</summary>
    Filter,

    /// <summary>A seal of the chamber.</summary>
    Seal,

    /// <summary>A pressure gauge.</summary>
    Gauge,

    /// <summary>The working fluid: topped up or changed.</summary>
    Fluid,

    /// <summary>Thermocouples or their instrument.</summary>
    Sensors,

    /// <summary>Something else; it breaks every trend, for nobody can tell what it touched.</summary>
    Other,
}

/// <summary>Which trends a piece of work touches.</summary>
[Flags]
public enum FigureGroups
{
    /// <summary>None.</summary>
    None = 0,

    /// <summary>Pressures and their times.</summary>
    Vacuum = 1,

    /// <summary>The vapour and how long the boards stay in it.</summary>
    Vapour = 2,

    /// <summary>What the transport sensor shows.</summary>
    Transport = 4,

    /// <summary>Everything.</summary>
    All = Vacuum | Vapour | Transport,
}

/// <summary>An entry of the machine's service log.</summary>
/// <param name="Time">When it was done.</param>
/// <param name="Kind">What it was.</param>
/// <param name="By">Who did it.</param>
/// <param name="Remark">What there is to say of it.</param>
/// <param name="AmountMillilitre">How much fluid or oil, in ml; null if that makes no sense or nobody measured.</param>
/// <param name="Lot">Lot of what was filled in or built in; null if unknown.</param>
public sealed record ServiceEntry(Timestamp Time, ServiceKind Kind, string By, string Remark, double? AmountMillilitre = null, string? Lot = null)
{
    /// <summary>The trends it breaks.</summary>
    public FigureGroups Touches => Kind switch
    {
        ServiceKind.Oil or ServiceKind.Filter or ServiceKind.Seal or ServiceKind.Gauge => FigureGroups.Vacuum,
        ServiceKind.Fluid => FigureGroups.Vapour,
        ServiceKind.Sensors => FigureGroups.Vapour | FigureGroups.Transport,
        _ => FigureGroups.All,
    };

    /// <summary>What is wrong with it, each with its remedy; empty if nothing is.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> found = [];
        if (string.IsNullOrWhiteSpace(By))
        {
            found.Add("by: an entry needs the name of the person who did the work.");
        }

        if (AmountMillilitre is { } amount && !(amount > 0 && amount <= 1_000_000))
        {
            found.Add($"amount: {amount} ml; give a positive amount in millilitres, or leave it out.");
        }

        return found;
    }
}
