using ThermoWatch.Domain.Engine;
using ThermoWatch.Feeds;

namespace ThermoWatch.Service.Configuration;

/// <summary>What a target must know of the node that it belongs to.</summary>
/// <param name="Cells">The cells that are fed, as they are wired now.</param>
/// <param name="Folder">Where it may keep what must outlive a restart.</param>
/// <param name="Time">The clock.</param>
public sealed record FeedContext(IReadOnlyList<CellDefinition> Cells, string Folder, TimeProvider Time);

/// <summary>One feed as it is configured.</summary>
/// <param name="Options">How it works.</param>
/// <param name="Cells">Numbers of the cells that it tells of; empty: all.</param>
/// <param name="SendsReadings">Whether readings are sent; else runs and alarms only.</param>
/// <param name="Target">Makes its target.</param>
public sealed record FeedConfiguration(FeedOptions Options, IReadOnlyList<int> Cells, bool SendsReadings, Func<FeedContext, IFeedTarget> Target);
