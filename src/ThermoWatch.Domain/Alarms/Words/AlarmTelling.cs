using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>An alarm in words: what, where, what happens if nobody acts, what to do, how long there is.</summary>
/// <param name="Key">Key of its texts, for other languages.</param>
/// <param name="Where">Where it holds, as people call it.</param>
/// <param name="What">What is wrong, with value and limit.</param>
/// <param name="Consequence">What happens if nobody acts.</param>
/// <param name="Action">What to do.</param>
/// <param name="HowLong">How long there is.</param>
/// <param name="SecondsToAct">The same as a number, an action's lead time taken off, s; null if it is not known.</param>
public sealed record AlarmTelling(string Key, string Where, string What, string Consequence, string Action, string HowLong, double? SecondsToAct)
{
    /// <summary>Unit of the alarm's value and limit as in specs (degC); empty if they are numbers, or there are none.</summary>
    public string Unit { get; private init; } = "";

    /// <summary>Puts an alarm into words.</summary>
    /// <param name="alarm">The alarm.</param>
    /// <param name="cell">Its cell.</param>
    /// <param name="now">Time of the cell.</param>
    /// <param name="phases">Names of the phases that the run concerned is in.</param>
    /// <param name="language">In which language; null: English.</param>
    /// <param name="source">What the cell itself does not know of it; null if there is nothing.</param>
    /// <param name="product">What the run concerned solders; null if that is not known.</param>
    public static AlarmTelling Of(
        AlarmPicture alarm, CellDefinition cell, Timestamp now, IReadOnlyCollection<string> phases, AlarmLanguage? language = null, AlarmSource? source = null,
        string? product = null) => Of(alarm, cell, now, phases, language, source, product, null);

    private static AlarmTelling Of(
        AlarmPicture alarm, CellDefinition cell, Timestamp now, IReadOnlyCollection<string> phases, AlarmLanguage? language, AlarmSource? source, string? product, AlarmSignal? signal)
    {
        language ??= AlarmLanguage.English;
        ArgumentNullException.ThrowIfNull(alarm);
        ArgumentNullException.ThrowIfNull(cell);
        ArgumentNullException.ThrowIfNull(phases);
        string key = KeyOf(alarm, language, source);
        AlarmText text = language.Texts.GetValueOrDefault(key) ?? language.Unworded;
        string where = AlarmBlanks.WhereOf(alarm, cell, language);
        string unit = AlarmBlanks.UnitOf(alarm, cell);
        string what = Standing(alarm, signal, language).Replace("{what}", new AlarmBlanks(alarm, where, source?.Variant == "age" ? "d" : unit, language, source, product).Fill(text), StringComparison.Ordinal);
        double? left = alarm.Deadline is { } deadline ? Math.Max(0, deadline.SecondsSince(now)) : null;
        bool open = cell.Alarms.Process == ProcessControl.Open;
        MachineAction? action = open && alarm.Holds ? Helping(text, cell.Alarms, phases, left) : null;
        double? toAct = left - (action?.LeadTime.TotalSeconds ?? 0);
        string act = action is not null
            ? language.AtTheMachine.Replace("{name}", action.Name, StringComparison.Ordinal)
                .Replace("{time}", Quantity.Of(action.LeadTime.TotalSeconds, "s", language), StringComparison.Ordinal) + " " + text.Action
            : !open && text.Helps.Length > 0 ? $"{text.Action} {language.Locked}" : text.Action;
        string howLong = toAct is null ? language.Urgency[alarm.Priority]
            : toAct > 0 ? language.TimeLeft.Replace("{time}", Quantity.Span(toAct.Value), StringComparison.Ordinal)
            : language.NoTimeLeft;
        return new AlarmTelling(key, where, what, text.Consequence, act, howLong, toAct) { Unit = unit == "°C" ? "degC" : unit };
    }

    /// <summary>Puts a step of an alarm that the record holds into words: no action of a moment that is over, and no time left.</summary>
    /// <param name="step">The step.</param>
    /// <param name="cell">Its cell.</param>
    /// <param name="language">In which language; null: English.</param>
    /// <param name="product">What the run concerned solders; null if that is not known.</param>
    public static AlarmTelling Of(AlarmEvent step, CellDefinition cell, AlarmLanguage? language = null, string? product = null)
    {
        ArgumentNullException.ThrowIfNull(step);
        return Of(
            new AlarmPicture(step.AlarmId, step.Condition, step.ChannelId, step.State, step.Time, step.Value, step.Limit)
            {
                Place = step.AlarmId[(step.AlarmId.IndexOf('/', StringComparison.Ordinal) + 1)..],
                Priority = step.Priority,
                Figure = step.Figure,
            },
            cell, step.Time, [], language, null, product, step.Signal);
    }

    /// <summary>Whether it is so, was so, or is only watched for: nothing is said to be wrong that is not.</summary>
    private static string Standing(AlarmPicture alarm, AlarmSignal? signal, AlarmLanguage language) => signal switch
    {
        null => alarm.Holds ? "{what}" : alarm.Since == default ? language.WatchesFor : language.Over,
        AlarmSignal.Shelve or AlarmSignal.RemoveFromService or AlarmSignal.Suppress or AlarmSignal.UnshelveNormal or AlarmSignal.ReturnNormal or AlarmSignal.ReleaseNormal =>
            language.WatchesFor, // a step says nothing of whether it held
        _ => alarm.State is AlarmState.Normal or AlarmState.ReturnedUnacknowledged or AlarmState.LatchedUnacknowledged or AlarmState.LatchedAcknowledged ? language.Over : "{what}",
    };

    /// <summary>The best action that helps, is possible now, and comes in time.</summary>
    private static MachineAction? Helping(AlarmText text, AlarmRules rules, IReadOnlyCollection<string> phases, double? secondsLeft)
    {
        foreach (ActionEffect effect in text.Helps)
        {
            foreach (MachineAction action in rules.Actions)
            {
                if (action.Effect == effect && (action.Phases.IsDefaultOrEmpty || action.Phases.Any(phases.Contains))
                    && !(action.LeadTime.TotalSeconds > secondsLeft))
                {
                    return action;
                }
            }
        }

        return null;
    }

    private static string KeyOf(AlarmPicture alarm, AlarmLanguage language, AlarmSource? source)
    {
        string key = alarm.Place.EndsWith("/vapour", StringComparison.Ordinal) ? $"{alarm.Condition}.vapour" : alarm.Condition;
        if (source is { Variant.Length: > 0 })
        {
            return language.Texts.ContainsKey($"{key}.{source.Variant}") ? $"{key}.{source.Variant}" : key;
        }

        if (source is not null && alarm.Value is not null)
        {
            string named = source.Words.Length > 0 && language.Texts.ContainsKey($"{key}.words") ? $"{key}.words" : $"{key}.named";
            return language.Texts.ContainsKey(named) ? named : key;
        }

        return key;
    }
}
