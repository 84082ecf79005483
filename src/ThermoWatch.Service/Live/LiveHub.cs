using Microsoft.AspNetCore.SignalR;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Live;

/// <summary>Live curves, as described by the types of the live contract. The server calls scan, mark, missed, and state or change.</summary>
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
        return _viewers.Of(cell).Add(LiveConnections.Of(Context), () => host.State, changes: false);
    }

    /// <summary>As watch, but what comes after the state is only what changes in it. Asked again, it begins anew with a whole state.</summary>
    [HubMethodName("follow")]
    public CellState Follow(int cell)
    {
        CellHost host = Find(cell);
        return _viewers.Of(cell).Add(LiveConnections.Of(Context), () => host.State, changes: true);
    }

    /// <summary>Receive a cell no longer.</summary>
    [HubMethodName("unwatch")]
    public void Unwatch(int cell) => _viewers.Of(Find(cell).Definition.Number).Remove(Context.ConnectionId);

    /// <summary>Somebody has seen an alarm.</summary>
    [HubMethodName("acknowledge")]
    public Task Acknowledge(int cell, string alarmId, string by, string comment) =>
        Take(cell, alarmId, by, now => new AcknowledgeInput(now, alarmId, by, comment ?? ""));

    /// <summary>Somebody puts an alarm aside for some minutes, for a reason; <paramref name="once"/>: it comes back as soon as the condition is gone.</summary>
    [HubMethodName("shelve")]
    public Task Shelve(int cell, string alarmId, string by, string reason, double minutes, bool once)
    {
        double most = Find(cell).Definition.Alarms.LongestShelving.TotalMinutes;
        if (!(minutes > 0 && minutes <= most))
        {
            throw new HubException(FormattableString.Invariant($"minutes is {minutes}; an alarm can be put aside for up to {most} minutes."));
        }

        Ask(reason, "reason", "Say why the alarm is put aside.");
        return Take(cell, alarmId, by, now => new ShelveInput(now, alarmId, by, reason, now.AddSeconds(60 * minutes), once));
    }

    /// <summary>Somebody takes an alarm back that was put aside.</summary>
    [HubMethodName("unshelve")]
    public Task Unshelve(int cell, string alarmId, string by) => Take(cell, alarmId, by, now => new UnshelveInput(now, alarmId, by));

    /// <summary>Somebody takes an alarm out of service, for a reason.</summary>
    [HubMethodName("outOfService")]
    public Task OutOfService(int cell, string alarmId, string by, string reason)
    {
        Ask(reason, "reason", "Say why the alarm goes out of service.");
        return Take(cell, alarmId, by, now => new OutOfServiceInput(now, alarmId, by, reason, Out: true));
    }

    /// <summary>Somebody brings an alarm back into service.</summary>
    [HubMethodName("returnToService")]
    public Task ReturnToService(int cell, string alarmId, string by, string comment) =>
        Take(cell, alarmId, by, now => new OutOfServiceInput(now, alarmId, by, comment ?? "", Out: false));

    /// <summary>Somebody lets a latched alarm go.</summary>
    [HubMethodName("reset")]
    public Task Reset(int cell, string alarmId, string by, string comment) =>
        Take(cell, alarmId, by, now => new ResetInput(now, alarmId, by, comment ?? ""));

    private async Task Take(int cell, string alarmId, string by, Func<Timestamp, EngineInput> input)
    {
        CellHost host = Find(cell);
        Ask(by, "by", "Give the name of the person.");
        if (!host.HasAlarm(alarmId))
        {
            throw new HubException($"Cell {cell} has no alarm {alarmId}. Take its id from the state.");
        }

        if (!await host.TakeAsync(input))
        {
            throw new HubException("The cell cannot take it now, as its queue is full or the service ends. Try again.");
        }
    }

    private static void Ask(string? text, string name, string remedy)
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            throw new HubException($"{name} is empty. {remedy}");
        }
    }

    private CellHost Find(int cell) => _cells.Find(cell)
        ?? throw new HubException($"There is no cell {cell} here. Cells: {string.Join(", ", _cells.All.Select(c => c.Definition.Number))}.");
}
