using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds;

/// <summary>One thing of the record that leaves for somebody else.</summary>
/// <param name="Cell">Number of its cell.</param>
/// <param name="Time">Its own time, as recorded.</param>
public abstract record FeedItem(int Cell, Timestamp Time)
{
    /// <summary>How many readings it stands for, at least 1: what batches and throttles count.</summary>
    public virtual int Weight => 1;
}

/// <summary>What one device said in one poll, converted.</summary>
/// <param name="Definition">The cell as it was wired then.</param>
/// <param name="Sequence">Number of its journal entry.</param>
/// <param name="Time">When the device was read.</param>
/// <param name="Channels">Places in <see cref="CellDefinition.Channels"/> of the readings; one array a device, shared by its scans.</param>
/// <param name="Readings">One reading a channel, in °C, mbar, mV or pure numbers.</param>
public sealed record ScanItem(CellDefinition Definition, long Sequence, Timestamp Time, int[] Channels, Reading[] Readings)
    : FeedItem(Definition.Number, Time)
{
    /// <inheritdoc/>
    public override int Weight => Math.Max(1, Readings.Length);
}

/// <summary>A run began or ended.</summary>
/// <param name="Run">The run as it stood then.</param>
/// <param name="Time">Its beginning, or its end.</param>
public sealed record RunItem(FedRun Run, Timestamp Time) : FeedItem(Run.Cell, Time)
{
    /// <inheritdoc/>
    public override int Weight => 1 + Run.Figures.Length;
}

/// <summary>A step of an alarm.</summary>
/// <param name="Cell">Number of its cell.</param>
/// <param name="Alarm">What happened.</param>
/// <param name="Definition">The cell as it is wired, by whose names the alarm is put into words; null: it is told without.</param>
public sealed record AlarmItem(int Cell, AlarmEvent Alarm, CellDefinition? Definition = null) : FeedItem(Cell, Alarm.Time);

/// <summary>A device's connection changed its state. Only targets that tell devices apart make something of it.</summary>
/// <param name="Definition">The cell as it was wired then.</param>
/// <param name="Device">Place of the device in <see cref="CellDefinition.Devices"/>.</param>
/// <param name="State">The new state.</param>
/// <param name="Time">When.</param>
public sealed record DeviceItem(CellDefinition Definition, int Device, DeviceState State, Timestamp Time) : FeedItem(Definition.Number, Time);

/// <summary>What a feed tells of a run.</summary>
public sealed record FedRun
{
    /// <summary>Number of the cell.</summary>
    public required int Cell { get; init; }

    /// <summary>Number of the run in its cell.</summary>
    public required long Number { get; init; }

    /// <summary>Its carrier.</summary>
    public required string Carrier { get; init; }

    /// <summary>What it was for.</summary>
    public RunKind Kind { get; init; }

    /// <summary>Where it begins.</summary>
    public required Timestamp Start { get; init; }

    /// <summary>Where it ends; null while it goes on.</summary>
    public Timestamp? End { get; init; }

    /// <summary>Name of the spec; null without one.</summary>
    public string? SpecName { get; init; }

    /// <summary>Version of the spec; null without one.</summary>
    public int? SpecVersion { get; init; }

    /// <summary>Verdict; null while it goes on, or where nothing was judged.</summary>
    public Verdict? Verdict { get; init; }

    /// <summary>Why the verdict is not a pass.</summary>
    public ImmutableArray<string> Reasons { get; init; } = [];

    /// <summary>Its figures; empty while it goes on.</summary>
    public ImmutableArray<FigureResult> Figures { get; init; } = [];
}
