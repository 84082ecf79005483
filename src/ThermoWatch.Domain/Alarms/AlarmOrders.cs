using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Alarms;

/// <summary>What people can do with an alarm, by the names that the API has for it.</summary>
public static class AlarmOrders
{
    private static readonly (string Name, AlarmSignal Signal)[] s_orders =
    [
        ("acknowledge", AlarmSignal.Acknowledge),
        ("shelve", AlarmSignal.Shelve),
        ("unshelve", AlarmSignal.UnshelveActive),
        ("outOfService", AlarmSignal.RemoveFromService),
        ("returnToService", AlarmSignal.ReturnActive),
        ("reset", AlarmSignal.Reset),
    ];

    /// <summary>Orders that change something of an alarm in that state.</summary>
    public static IEnumerable<string> TakenIn(AlarmState state) => s_orders.Where(o => AlarmSteps.Next(state, o.Signal) != state).Select(o => o.Name);

    /// <summary>Whether an event is what an order brought about.</summary>
    public static bool IsOf(AlarmEvent step, AlarmInput order)
    {
        ArgumentNullException.ThrowIfNull(step);
        ArgumentNullException.ThrowIfNull(order);
        return step.AlarmId == order.AlarmId && step.By == order.By && step.Signal >= AlarmSignal.Acknowledge;
    }
}
