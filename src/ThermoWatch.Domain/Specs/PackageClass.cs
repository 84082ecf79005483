using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Specs;

/// <summary>The solder that a package was classified for.</summary>
public enum SolderProcess
{
    /// <summary>Tin and lead.</summary>
    TinLead,

    /// <summary>Without lead.</summary>
    LeadFree,
}

/// <summary>Revision of J-STD-020 whose table is meant.</summary>
public enum ClassificationRevision
{
    /// <summary>Revision C.</summary>
    C,

    /// <summary>Revision D, and later as far as known.</summary>
    D,
}

/// <summary>A plastic package as J-STD-020 classifies it: what its body has been tested for.</summary>
/// <remarks>
/// Source: IPC/JEDEC J-STD-020, tables 4-1, 4-2 and 5-2 as reproduced in component data sheets (rev C, and the wording of rev D); the
/// cells of the tin-lead table of rev D from memory. The standard classifies components: its profile is no profile for a board, so
/// nothing but the ceilings for the body is offered here.
/// </remarks>
/// <param name="Process">Solder that it was classified for.</param>
/// <param name="ThicknessMillimetres">Thickness of the body, mm.</param>
/// <param name="VolumeCubicMillimetres">Volume of the body without terminals and heat sinks, mm³.</param>
/// <param name="Revision">Whose table.</param>
public sealed record PackageClass(
    SolderProcess Process, double ThicknessMillimetres, double VolumeCubicMillimetres, ClassificationRevision Revision = ClassificationRevision.D)
{
    /// <summary>The body is near its classification temperature from here on, K below it.</summary>
    private const double Near = 5;

    /// <summary>Classification temperature Tc of the body's top, °C.</summary>
    public double ClassificationTemperature => Process == SolderProcess.TinLead ? TinLead() : LeadFree();

    /// <summary>Longest time that the body may stay within 5 K of Tc, s: tp for the user.</summary>
    public double LongestNearCelsius => Process == SolderProcess.TinLead ? 20 : 30;

    /// <summary>What the user of the component must keep: the body not above Tc, and not too long within 5 K of it.</summary>
    /// <param name="channels">Channels on this component; empty: every channel on a body.</param>
    public ImmutableArray<Limit> Ceilings(ImmutableArray<string> channels)
    {
        string document = FormattableString.Invariant(
            $"J-STD-020{Revision}, {(Process == SolderProcess.TinLead ? "SnPb" : "Pb-free")} package {ThicknessMillimetres} mm, {VolumeCubicMillimetres} mm3");
        ImmutableArray<Place> places = channels.IsEmpty ? [Place.Body] : [];
        double ceiling = ClassificationTemperature;
        return
        [
            new Limit { Figure = "peakTemperature", Upper = ceiling, Channels = channels, Places = places, Document = document },
            new Limit
            {
                Figure = "timeAboveLiquidus", Level = ceiling - Near, Upper = LongestNearCelsius, Channels = channels, Places = places, Document = document,
            },
        ];
    }

    // Smaller and thinner packages come hotter out of the same oven, so they are classified higher.
    private double TinLead() => (ThicknessMillimetres < 2.5 && VolumeCubicMillimetres < 350, Revision) switch
    {
        (true, ClassificationRevision.C) => 240,
        (true, _) => 235,
        (false, ClassificationRevision.C) => 225,
        _ => 220,
    };

    private double LeadFree()
    {
        // A package of just 2.5 mm is thick in revision C and of the middle row from revision D on.
        bool thick = Revision == ClassificationRevision.C ? ThicknessMillimetres >= 2.5 : ThicknessMillimetres > 2.5;
        return ThicknessMillimetres < 1.6 ? 260 : VolumeCubicMillimetres switch
        {
            < 350 => thick ? 250 : 260,
            <= 2000 => thick ? 245 : 250,
            _ => 245,
        };
    }
}
