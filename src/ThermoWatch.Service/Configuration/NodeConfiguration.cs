using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Keeping;

namespace ThermoWatch.Service.Configuration;

/// <summary>All that a node needs to run, validated as a whole.</summary>
/// <param name="Port">TCP port of the web pages, on loopback unless <paramref name="Host"/> says otherwise.</param>
/// <param name="Host">Host name or address to listen on.</param>
/// <param name="Cells">The machines that this node watches.</param>
public sealed record NodeConfiguration(string Host, int Port, IReadOnlyList<CellConfiguration> Cells)
{
    /// <summary>The file as it was read, with what the environment put in its place: for the record.</summary>
    public string Text { get; init; } = "";

    /// <summary>What leaves the record by rule; by default nothing does.</summary>
    public KeepingRules Keeping { get; init; } = new();

    /// <summary>To whom the record is sent; by default to nobody.</summary>
    public IReadOnlyList<FeedConfiguration> Feeds { get; init; } = [];

    /// <summary>What whoever has written it should know: each with its place and a remedy, and none a fault.</summary>
    public IReadOnlyList<ConfigurationFault> Notes { get; init; } = [];

    /// <summary>The spec files that it names, as they were read.</summary>
    public IReadOnlyList<(string Name, int Version, string Text)> SpecTexts { get; init; } = [];
}

/// <summary>One cell: what the engine must know, and how its devices are reached.</summary>
/// <param name="Definition">Devices, points and channels as the record sees them.</param>
/// <param name="Devices">How each device is reached, in the order of the definition.</param>
/// <param name="Spec">Spec of the next run; null: runs are recorded without limits.</param>
public sealed record CellConfiguration(
    CellDefinition Definition, IReadOnlyList<DeviceOptions> Devices, Spec? Spec)
{
    /// <summary>Specs of the products that may be soldered, that of the next run among them.</summary>
    public IReadOnlyList<Spec> Products { get; init; } = Spec is null ? [] : [Spec];

    /// <summary>When a verification run is due; null: never by itself.</summary>
    public VerificationRule? Verification { get; init; }
}
