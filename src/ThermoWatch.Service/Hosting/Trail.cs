using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Hosting;

/// <summary>What the service itself enters into the audit trail: its start and end, and every configuration and spec that it was given.</summary>
internal sealed class Trail(RunCatalogue catalogue, string dataFolder, NodeMode mode, ILogger log)
{
    /// <summary>The service's own name in the trail: nothing is entered without a name.</summary>
    private const string Self = "thermowatch";

    private static string Station => Environment.MachineName;

    /// <summary>Notes the start, the key, the configuration and the specs, as far as they are news.</summary>
    public void Began(NodeConfiguration configuration) => Try(() =>
    {
        Timestamp now = mode.Clock.Now;
        (NodeKey? key, string? problem) = NodeKey.Open(dataFolder);
        using (key)
        {
            if (key is null)
            {
                Log.NoKey(log, problem!);
            }
            else
            {
                catalogue.SaveKey(key.PublicKey);
            }
        }

        catalogue.Audit(new AuditEntry(now, Self, Station, AuditActions.ServiceStarted, mode.Verb, null, null, null));
        ConfigurationVersion? before = catalogue.Configurations(1) is [var last] ? last : null;
        long number = catalogue.SaveConfiguration(configuration.Text, now, Self);
        if (number != before?.Number)
        {
            catalogue.Audit(new AuditEntry(now, Self, Station, AuditActions.ConfigurationChanged, "configuration",
                before is null ? null : $"version {before.Number}", $"version {number}", "found changed at the start"));
        }

        foreach ((string name, int version, string text) in configuration.SpecTexts)
        {
            bool isNew = catalogue.FindSpec(name, version) is null;
            if (catalogue.SaveSpec(new SpecVersion(name, version, text, now, Self)) is { } refusal)
            {
                Log.SpecRefused(log, refusal);
            }
            else if (isNew)
            {
                catalogue.Audit(new AuditEntry(now, Self, Station, AuditActions.SpecAdded, $"spec {name}", null, $"version {version}", "found in the configuration"));
            }
        }
    });

    /// <summary>Notes the end.</summary>
    public void Ended() => Try(() => catalogue.Audit(new AuditEntry(mode.Clock.Now, Self, Station, AuditActions.ServiceStopped, mode.Verb, null, null, null)));

    private void Try(Action write)
    {
        try
        {
            write();
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or SqliteException)
        {
            Log.TrailFault(log, fault.Message); // watching goes on
        }
    }
}
