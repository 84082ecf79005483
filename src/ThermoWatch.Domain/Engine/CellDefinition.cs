using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>A device as the record sees it: its points in the order in which scans carry them.</summary>
/// <param name="Id">Unique in the cell.</param>
/// <param name="Name">As people call it.</param>
/// <param name="Period">Time from one poll to the next: the nominal interval of its channels.</param>
/// <param name="Points">Ids of its points, in scan order.</param>
public sealed record DeviceDefinition(string Id, string Name, TimeSpan Period, IReadOnlyList<string> Points);

/// <summary>One soldering machine with everything wired to it; what the engine must know to understand its record.</summary>
/// <remarks>A journal carries the definition that its readings were taken with.</remarks>
public sealed record CellDefinition
{
    /// <summary>Number of the cell in the node, from 1. People and programs name the cell by it.</summary>
    public required int Number { get; init; }

    /// <summary>As people call it.</summary>
    public required string Name { get; init; }

    /// <summary>Work carriers, at least one.</summary>
    public required IReadOnlyList<string> Carriers { get; init; }

    /// <summary>Instruments, in the order that scans count them.</summary>
    public required IReadOnlyList<DeviceDefinition> Devices { get; init; }

    /// <summary>Channels, in the order that everybody shows them.</summary>
    public required IReadOnlyList<ChannelDefinition> Channels { get; init; }

    /// <summary>How runs are found and curves are read.</summary>
    public CellRules Rules { get; init; } = new();

    /// <summary>How its alarms behave, and what a person may do at the machine.</summary>
    public AlarmRules Alarms { get; init; } = new();
}
