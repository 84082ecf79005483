using Microsoft.AspNetCore.SignalR;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Live;

/// <summary>Live curves, as described by the types of the live contract. The server calls scan, mark, state and missed.</summary>
internal sealed class LiveHub : Hub
{
    private readonly CellDirectory _cells;
    private readonly Viewers _viewers;

    public LiveHub(CellDirectory cells, Viewers viewers)
    {
        _cells = cells;
        _viewers = viewers;
    }

    /// <summary>The cells of this node.</summary>
    [HubMethodName("cells")]
    public CellName[] Cells() => [.. _cells.All.Select(c => new CellName { Cell = c.Definition.Number, Name = c.Definition.Name })];

    /// <summary>What a viewer must know before it can read frames.</summary>
    [HubMethodName("layout")]
    public CellLayout Layout(int cell) => Find(cell).Layout();

    /// <summary>Frames after a sequence number, oldest first.</summary>
    [HubMethodName("since")]
    public Refill Since(int cell, long seq) => Find(cell).Since(seq);

    /// <summary>Where the uncertainty of a channel's newest reading comes from.</summary>
    [HubMethodName("budget")]
    public BudgetLive Budget(int cell, string channel)
    {
        CellHost host = Find(cell);
        return host.Budget(channel)
            ?? throw new HubException($"Cell {cell} has no channel {channel}. Channels: {string.Join(", ", host.Definition.Channels.Select(c => c.Id))}.");
    }

    /// <summary>Begin to receive a cell; answers its state of now.</summary>
    [HubMethodName("watch")]
    public CellState Watch(int cell)
    {
        CellHost host = Find(cell);
        _viewers.Add(Context, Clients.Caller, cell);
        return host.State;
    }

    /// <summary>Receive a cell no longer.</summary>
    [HubMethodName("unwatch")]
    public void Unwatch(int cell) => _viewers.Take(Context.ConnectionId, cell);

    /// <summary>Somebody has seen an alarm.</summary>
    [HubMethodName("acknowledge")]
    public void Acknowledge(int cell, string alarmId, string by, string comment) => Find(cell).Acknowledge(alarmId, by, comment);

    private CellHost Find(int cell) => _cells.Find(cell)
        ?? throw new HubException($"There is no cell {cell} here. Cells: {string.Join(", ", _cells.All.Select(c => c.Definition.Number))}.");
}
