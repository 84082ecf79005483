using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary><c>GET /api/v1/devices</c>: how each device and its wire have been doing since the service started.</summary>
internal static class DeviceResource
{
    public static void MapDevices(this IEndpointRouteBuilder api) =>
        api.MapGet("/devices", (ProbeDesk desk) => Results.Ok(new DeviceList([.. desk.Lines.SelectMany(Of)])))
            .Produces<DeviceList>()
            .WithSummary("How each device and its wire have been doing since the service started.");

    private static IEnumerable<DeviceInfo> Of(CellLines cell)
    {
        IReadOnlyList<DeviceStatistics> statistics = cell.Runner.Statistics;
        foreach ((string wire, IReadOnlyList<int> devices, ModbusCounters? counters) in cell.Runner.Wires)
        {
            foreach (int at in devices)
            {
                yield return Of(cell.Cell.Number, cell.Runner.Options(at), statistics[at], wire, counters);
            }
        }
    }

    private static DeviceInfo Of(int cell, DeviceOptions device, DeviceStatistics found, string wire, ModbusCounters? counters) => new(
        cell, device.Id, device.Name ?? device.Id, wire, Words.Of(found.State), found.Reason,
        found.Polls, found.Missed, found.Late, found.Lost,
        found.Responses.Count,
        Known(found.Responses.QuantileMilliseconds(0.5)),
        Known(found.Responses.QuantileMilliseconds(0.999)),
        found.Responses.SuggestedTimeout?.TotalMilliseconds,
        ((device as ModbusDeviceOptions)?.Timeout ?? (device as TextDeviceOptions)?.Timeout)?.TotalMilliseconds,
        (device as ModbusDeviceOptions)?.Retries,
        (device as ModbusDeviceOptions)?.MaxGapRegisters,
        [.. found.Responses.Buckets.Select(b => new ResponseBucket(b.UpToMilliseconds, b.Count))],
        counters is null ? null : new WireInfo(
            counters.Requests, counters.Replies, counters.TimeOuts, counters.Unmatched, counters.Garbled, counters.Foreign, counters.Echoes, counters.Opened));

    private static double? Known(double value) => double.IsNaN(value) ? null : value;
}

/// <param name="Devices">In the order of cells and wires.</param>
internal sealed record DeviceList(IReadOnlyList<DeviceInfo> Devices);

/// <summary>One device.</summary>
/// <param name="Cell">Number of its cell.</param>
/// <param name="Id">Its id.</param>
/// <param name="Name">As people call it.</param>
/// <param name="Wire">The port or address it is on.</param>
/// <param name="State">How it stands.</param>
/// <param name="Reason">Why, with a remedy; empty when up.</param>
/// <param name="Polls">Polls begun.</param>
/// <param name="Missed">Polls without a good answer.</param>
/// <param name="Late">Polls left out because the wire was busy.</param>
/// <param name="Lost">Readings that recording could not take.</param>
/// <param name="Answers">Polls answered.</param>
/// <param name="MedianMilliseconds">Half of the answers came within this time, in ms.</param>
/// <param name="SlowestMilliseconds">99.9 % of the answers came within this time, in ms.</param>
/// <param name="SuggestedTimeoutMilliseconds">A time-out that leaves room, in ms; null before enough answers have come.</param>
/// <param name="TimeoutMilliseconds">The time-out that is set, in ms; null where there is none.</param>
/// <param name="Retries">How often a request is sent again within one poll; null where there is no such thing.</param>
/// <param name="MaxGapRegisters">Unused registers that may be read along; null where there is no such thing.</param>
/// <param name="Histogram">Response times.</param>
/// <param name="Line">What happened on its wire, all devices together; null unless it is Modbus.</param>
internal sealed record DeviceInfo(
    int Cell, string Id, string Name, string Wire, string State, string Reason, long Polls, long Missed, long Late, long Lost, long Answers,
    double? MedianMilliseconds, double? SlowestMilliseconds, double? SuggestedTimeoutMilliseconds, double? TimeoutMilliseconds, int? Retries, int? MaxGapRegisters,
    IReadOnlyList<ResponseBucket> Histogram, WireInfo? Line);

/// <summary>One bar of a histogram.</summary>
/// <param name="UpToMilliseconds">Upper edge in ms.</param>
/// <param name="Count">How many answers fell in.</param>
internal sealed record ResponseBucket(double UpToMilliseconds, long Count);

/// <summary>What happened on a Modbus wire.</summary>
/// <param name="Requests">Requests sent.</param>
/// <param name="Replies">Answers, refusals included.</param>
/// <param name="TimeOuts">Requests not answered in time.</param>
/// <param name="Unmatched">Answers to no open request, dropped.</param>
/// <param name="Garbled">Answers that were not what was asked, dropped.</param>
/// <param name="Foreign">Frames of other masters that were heard.</param>
/// <param name="Echoes">Copies of our own requests, stripped.</param>
/// <param name="Opened">Times the wire was opened.</param>
internal sealed record WireInfo(long Requests, long Replies, long TimeOuts, long Unmatched, long Garbled, long Foreign, long Echoes, long Opened);
