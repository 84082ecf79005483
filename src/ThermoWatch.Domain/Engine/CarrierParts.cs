using System.Collections.Immutable;

namespace ThermoWatch.Domain.Engine;

/// <summary>The channels that tell of one carrier: its own, and those that the whole cell shares.</summary>
internal sealed record CarrierParts
{
    /// <summary>Product channels, air included.</summary>
    public required ImmutableArray<ProductWatch> Products { get; init; }

    /// <summary>The machine's own sensors on the transport.</summary>
    public required ImmutableArray<ChannelTrack> Transports { get; init; }

    /// <summary>The chamber gauge; null without one.</summary>
    public ChannelTrack? Gauge { get; init; }

    /// <summary>The vapour; null without one.</summary>
    public ChannelTrack? Vapour { get; init; }

    /// <summary>The ambient pressure; null without one.</summary>
    public ChannelTrack? Barometer { get; init; }

    /// <summary>Recipe number; null if not wired.</summary>
    public SignalWatch? Recipe { get; init; }

    /// <summary>Load; null if not wired.</summary>
    public SignalWatch? Load { get; init; }

    /// <summary>Somebody works by hand; null if not wired.</summary>
    public SignalWatch? Manual { get; init; }

    /// <summary>The machine is running; null if not wired.</summary>
    public SignalWatch? Running { get; init; }

    /// <summary>The carrier's own position; null if not wired.</summary>
    public SignalWatch? Position { get; init; }

    /// <summary>Whether a signal or a position says when the carrier is done: then no other rule guesses it.</summary>
    public bool EndIsWired { get; init; }
}
