using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Cells;

/// <summary>Tells every cell when the computer's clock was set, so that the record says it.</summary>
internal static class ClockCare
{
    public static async Task RunAsync(IReadOnlyList<CellHost> cells, AnchoredClock clock, TimeProvider time, CancellationToken stopping)
    {
        var watch = new ClockWatch(clock, time);
        using var second = new PeriodicTimer(TimeSpan.FromSeconds(1), time);
        try
        {
            while (await second.WaitForNextTickAsync(stopping))
            {
                if (watch.Look() is { } step)
                {
                    foreach (CellHost cell in cells)
                    {
                        cell.Inputs.TryWrite(new ClockStepInput(clock.Now, step));
                    }
                }
            }
        }
        catch (OperationCanceledException)
        {
            // Stopping.
        }
    }
}
