using System.Collections.Concurrent;

namespace ThermoWatch.Service.Live;

/// <summary>All browsers that are connected, by the cell that each of them watches.</summary>
internal sealed class Viewers
{
    private readonly ConcurrentDictionary<int, Audience> _cells = new();
    private readonly ILogger _log;

    public Viewers(ILogger log) => _log = log;

    /// <summary>How many pages watch a cell now.</summary>
    public int Count => _cells.Values.Sum(audience => audience.Count);

    /// <summary>Who watches a cell.</summary>
    public Audience Of(int cell) => _cells.GetOrAdd(cell, number => new Audience(number, _log));
}
