using System.Collections.Concurrent;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>A reading handed to the node: what the broker must have given on.</summary>
internal sealed record Handed(string Device, string Metric, long Ms, double? Value);

/// <summary>All recordings of one version of MQTT. Made once and shared: a rule is held against bytes that went over a broker.</summary>
internal sealed class Bundle
{
    private static readonly ConcurrentDictionary<bool, Lazy<Task<Bundle>>> Made = new();

    public required bool Version5 { get; init; }

    /// <summary>Births, data, a rebirth, a silent instrument, an intended end; a wire cut and a second session; a third.</summary>
    public required Recording Ordinary { get; init; }

    /// <summary>Three sessions from 254 on.</summary>
    public required Recording Wrap { get; init; }

    /// <summary>One broker, a primary host that comes and goes, and one that is not ours.</summary>
    public required Recording Host { get; init; }

    /// <summary>Two brokers: the host leaves one, then the other dies.</summary>
    public required Recording Walk { get; init; }

    /// <summary>Two nodes at one broker, with the same devices. It stands beside the others: their rules speak of one node.</summary>
    public required Recording Twins { get; init; }

    /// <summary>What the ordinary recording was handed.</summary>
    public required IReadOnlyList<Handed> Handed { get; init; }

    public IEnumerable<Recording> All => [Ordinary, Wrap, Host, Walk];

    public static Task<Bundle> Of(bool version5) => Made.GetOrAdd(version5, v => new Lazy<Task<Bundle>>(() => Scenarios.RecordAsync(v))).Value;

    public Bundle Copy() => new() { Version5 = Version5, Ordinary = Ordinary.Copy(), Wrap = Wrap.Copy(), Host = Host.Copy(), Walk = Walk.Copy(), Twins = Twins.Copy(), Handed = Handed };
}
