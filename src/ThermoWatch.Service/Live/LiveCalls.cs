using Microsoft.AspNetCore.SignalR.Protocol;

namespace ThermoWatch.Service.Live;

/// <summary>What the server calls on a viewer.</summary>
internal static class LiveCalls
{
    /// <summary>Four arguments, not an object: its keys would be a sixth of what travels ten times a second.</summary>
    public static InvocationMessage ToCall(this ScanFrame frame) => new("scan", [frame.Cell, frame.Seq, frame.T, frame.Data]);

    public static InvocationMessage ToCall(this ReadingMark mark) => new("mark", [mark]);

    public static InvocationMessage ToCall(this CellState state) => new("state", [state]);

    public static InvocationMessage ToCall(this CellChange change) => new("change", [change]);

    /// <summary>Frames after one were left out.</summary>
    public static InvocationMessage Missed(int cell, long after) => new("missed", [cell, after]);
}
