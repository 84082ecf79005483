using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Cells;

/// <summary>What is told to cells out of the catalogue, beside their loops: the corridor of released runs, and when a verification is due.</summary>
internal static class UpkeepCare
{
    private static readonly TimeSpan s_period = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan s_slowPeriod = TimeSpan.FromSeconds(10);

    public static async Task RunAsync(IReadOnlyList<CellHost> cells, RunCatalogue catalogue, TimeProvider time, ILogger log, CancellationToken stopping)
    {
        (CellHost Host, CorridorWatch Corridor, VerificationWatch? Verification)[] watches =
        [
            .. cells.Select(c => (c, new CorridorWatch(c, catalogue), c.Verification is { } rule ? new VerificationWatch(c.Definition.Number, rule, catalogue) : null)),
        ];
        using var timer = new PeriodicTimer(s_period, time);
        long? slow = null;
        bool trouble = false;
        try
        {
            do
            {
                try
                {
                    bool isSlow = slow is not { } last || time.GetElapsedTime(last) >= s_slowPeriod;
                    slow = isSlow ? time.GetTimestamp() : slow;
                    foreach ((CellHost host, CorridorWatch corridor, VerificationWatch? verification) in watches)
                    {
                        foreach (ReportInput report in corridor.Look())
                        {
                            host.TryTake(now => report with { Time = now });
                        }

                        if (isSlow && verification is not null)
                        {
                            ReportInput? due = verification.Look(host.Now);
                            host.Explain(VerificationWatch.Condition, verification.Why); // before the report, so that the alarm's first words say it
                            if (due is not null)
                            {
                                host.TryTake(now => due with { Time = now });
                            }
                        }
                    }

                    trouble = false;
                }
                catch (Exception fault) when (fault is SqliteException or IOException or UnauthorizedAccessException)
                {
                    if (!trouble)
                    {
                        Log.TrailFault(log, fault.Message); // watching goes on
                    }

                    trouble = true;
                }
            }
            while (await timer.WaitForNextTickAsync(stopping));
        }
        catch (OperationCanceledException)
        {
            // Stopping.
        }
    }
}
