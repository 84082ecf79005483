using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Signals.Filters;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Live;

/// <summary>The smoothed values of a cell's channels that ask for one: for the eye only, beside what is recorded and judged.</summary>
internal sealed class FilterBank
{
    private readonly (int Channel, int Device, string Id, ChannelFilter Filter)[] _filters;
    private readonly Filtered?[] _newest;

    public FilterBank(CellDefinition cell)
    {
        List<(int, int, string, ChannelFilter)> filters = [];
        for (int i = 0; i < cell.Channels.Count; i++)
        {
            if (cell.Channels[i].Filter is { } definition)
            {
                int device = cell.Devices.ToList().FindIndex(d => d.Id == cell.Channels[i].Device);
                filters.Add((i, device, cell.Channels[i].Id, new ChannelFilter(definition, cell.Devices[device].Period.TotalSeconds)));
            }
        }

        _filters = [.. filters];
        _newest = new Filtered?[_filters.Length];
    }

    /// <summary>Takes the readings that a scan has brought.</summary>
    public void Take(RawScan scan, ReadOnlySpan<Reading> readings)
    {
        for (int i = 0; i < _filters.Length; i++)
        {
            if (_filters[i].Device == scan.DeviceIndex)
            {
                _newest[i] = _filters[i].Filter.Offer(readings[_filters[i].Channel]);
            }
        }
    }

    /// <summary>The newest value of each filter that has one.</summary>
    public FilteredLive[] ToLive() =>
    [
        .. _filters.Zip(_newest).Where(f => f.Second is { Kind: not FilterKind.None, Raw.Quality.HasValue: true }).Select(f => new FilteredLive
        {
            Channel = f.First.Id,
            T = f.Second!.Value.Raw.Time.ToUnixMilliseconds(),
            Value = f.Second.Value.Value,
            Filter = Words.Of(f.Second.Value.Kind),
        }),
    ];
}
