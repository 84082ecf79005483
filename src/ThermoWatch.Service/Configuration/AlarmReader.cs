using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads how a cell's alarms behave and what a person may do at its machine. Everything may be left out.</summary>
internal static class AlarmReader
{
    private static readonly string[] Phases = ["load", "preheat", "soak", "ramp", "reflow", "cool", "vapour", "evacuate", "hold", "vent"];

    public static AlarmRules Read(JsonScope? alarms)
    {
        if (alarms is null)
        {
            return new AlarmRules();
        }

        var byDefault = new AlarmRules();
        AlarmRules rules = new()
        {
            Process = alarms.Word("process", Words.Of<ProcessControl>(), (ProcessControl?)byDefault.Process),
            LongestShelving = TimeSpan.FromHours(alarms.Number("longestShelving_h", 0.1, 168, byDefault.LongestShelving.TotalHours)),
            FluidStability = alarms.Number("fluidStability_C", 100, 400, byDefault.FluidStability),
            MotionLimit = alarms.Has("motionLimit") ? alarms.Number("motionLimit", 0, 1e6, null) : null,
            Actions = [.. alarms.OptionalObjects("actions").Select(ReadAction)],
            Conditions = ReadConditions(alarms),
        };
        alarms.NothingElse();
        return rules;
    }

    private static MachineAction ReadAction(JsonScope action)
    {
        string name = action.Text("name", "Write it as it stands on the machine.");
        if (ForbiddenWords.In(name) is { } word)
        {
            action.Fault("name", $"says \"{word}\"", "No alarm may tell anybody to get at hot boards or around a guard. Name an action at the machine's own control.");
        }

        ImmutableArray<string> phases = action.Has("phases") ? [.. action.Texts("phases", "Name at least one phase, or leave the key out.")] : [];
        foreach (string phase in phases.Except(Phases))
        {
            action.Fault("phases", $"names \"{phase}\"", "Use some of: " + string.Join(", ", Phases) + ".");
        }

        var read = new MachineAction(
            name,
            action.Word("effect", Words.Of<ActionEffect>(), (ActionEffect?)null),
            TimeSpan.FromSeconds(action.Number("lead_s", 0, 600, 0)),
            phases);
        action.NothingElse();
        return read;
    }

    private static ImmutableDictionary<string, AlarmSettings> ReadConditions(JsonScope alarms)
    {
        var conditions = ImmutableDictionary.CreateBuilder<string, AlarmSettings>();
        foreach (JsonScope scope in alarms.OptionalObjects("conditions"))
        {
            string name = scope.Text("condition", "Use one of: " + string.Join(", ", CellEngine.Conditions) + ".");
            if (name.Length > 0 && !CellEngine.Conditions.Contains(name))
            {
                scope.Fault("condition", $"is \"{name}\"", "Use one of: " + string.Join(", ", CellEngine.Conditions) + ".");
            }
            else if (conditions.ContainsKey(name))
            {
                scope.Fault("condition", $"is \"{name}\" a second time", "Write each condition once.");
            }

            conditions[name] = new AlarmSettings
            {
                Priority = scope.Has("priority") ? scope.Word("priority", Words.Of<AlarmPriority>(), (AlarmPriority?)null) : null,
                OnDelay = Seconds(scope, "onDelay_s", 3600),
                OffDelay = Seconds(scope, "offDelay_s", 3600),
                Deadband = scope.Has("deadband") ? scope.Number("deadband", 0, 1000, null) : null,
                Latching = scope.Has("latching") ? scope.Flag("latching") : null,
                ReAlarm = Seconds(scope, "reAlarm_s", 86400),
                Enabled = !scope.Flag("off"),
            };
            scope.NothingElse();
        }

        return conditions.ToImmutable();
    }

    private static TimeSpan? Seconds(JsonScope scope, string key, double most) =>
        scope.Has(key) ? TimeSpan.FromSeconds(scope.Number(key, 0, most, null)) : null;
}
