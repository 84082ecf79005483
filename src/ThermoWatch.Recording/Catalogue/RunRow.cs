using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>A run as the catalogue keeps it: where its readings lie, and what was made of them.</summary>
public sealed record RunRow
{
    /// <summary>Number of the cell.</summary>
    public required int Cell { get; init; }

    /// <summary>Number of the run in its cell, from 1.</summary>
    public required long Number { get; init; }

    /// <summary>Its carrier.</summary>
    public required string Carrier { get; init; }

    /// <summary>What it was for.</summary>
    public RunKind Kind { get; init; }

    /// <summary>Number of the machine's recipe; null where it is not known.</summary>
    public int? Recipe { get; init; }

    /// <summary>What the machine counted as its load; null where it is not known.</summary>
    public int? Load { get; init; }

    /// <summary>Which rule found its beginning; empty in records of older programs.</summary>
    public string StartReason { get; init; } = "";

    /// <summary>Where it begins.</summary>
    public required Timestamp Start { get; init; }

    /// <summary>Where it ends; null while it goes on.</summary>
    public Timestamp? End { get; init; }

    /// <summary>Which rule ended it; null while it goes on.</summary>
    public string? EndReason { get; init; }

    /// <summary>First journal entry that belongs to it.</summary>
    public required long FirstSequence { get; init; }

    /// <summary>Last journal entry that belongs to it; null while it goes on.</summary>
    public long? LastSequence { get; init; }

    /// <summary>Name of the spec; null without one.</summary>
    public string? SpecName { get; init; }

    /// <summary>Version of the spec; null without one.</summary>
    public int? SpecVersion { get; init; }

    /// <summary>Verdict; null while it goes on.</summary>
    public Verdict? Verdict { get; init; }

    /// <summary>Version of the rules by which its figures were computed; 1 in records of older programs.</summary>
    public string Algorithm { get; init; } = "1";

    /// <summary>Why the verdict is not a pass.</summary>
    public ImmutableArray<string> Reasons { get; init; } = [];

    /// <summary>Figures.</summary>
    public ImmutableArray<FigureResult> Figures { get; init; } = [];

    /// <summary>Phases.</summary>
    public ImmutableArray<PhaseSpan> Phases { get; init; } = [];

    /// <summary>What must be known with it, such as <c>warmStart</c>.</summary>
    public ImmutableArray<string> Notes { get; init; } = [];
}
