using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
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
    /// <summary>Puts an alarm into words.</summary>
    /// <param name="alarm">The alarm.</param>
    /// <param name="cell">Its cell.</param>
    /// <param name="now">Time of the cell.</param>
    /// <param name="phases">Names of the phases that the run concerned is in.</param>
    /// <param name="language">In which language; null: English.</param>
    /// <param name="source">Whom outside the cell it is about; null if nobody is known.</param>
    public static AlarmTelling Of(
        AlarmPicture alarm, CellDefinition cell, Timestamp now, IReadOnlyCollection<string> phases, AlarmLanguage? language = null, AlarmSource? source = null)
    {
        language ??= AlarmLanguage.English;
        ArgumentNullException.ThrowIfNull(alarm);
        ArgumentNullException.ThrowIfNull(cell);
        ArgumentNullException.ThrowIfNull(phases);
        string key = alarm.Place.EndsWith("/vapour", StringComparison.Ordinal) ? $"{alarm.Condition}.vapour" : alarm.Condition;
        if (source is not null && alarm.Value is not null)
        {
            string named = source.Words.Length > 0 && language.Texts.ContainsKey($"{key}.words") ? $"{key}.words" : $"{key}.named";
            key = language.Texts.ContainsKey(named) ? named : key;
        }

        AlarmText text = language.Texts[key];
        string where = WhereOf(alarm, cell, language);
        string unit = UnitOf(alarm, cell);
        bool numbers = alarm is { Value: not null, Limit: not null } || (alarm.Value is not null && !text.What.Contains("{limit}", StringComparison.Ordinal));
        string what = (numbers ? text.What : text.WhatShort)
            .Replace("{where}", where, StringComparison.Ordinal)
            .Replace("{value}", Quantity(alarm.Value, unit, language), StringComparison.Ordinal)
            .Replace("{limit}", Quantity(alarm.Limit, unit, language), StringComparison.Ordinal)
            .Replace("{beyond}", Quantity(Math.Abs((alarm.Value - alarm.Limit) ?? 0), unit == "°C" ? "K" : unit, language), StringComparison.Ordinal)
            .Replace("{feed}", source?.Name, StringComparison.Ordinal)
            .Replace("{words}", source?.Words, StringComparison.Ordinal); // last: what others say fills no blank

        double? left = alarm.Deadline is { } deadline ? Math.Max(0, deadline.SecondsSince(now)) : null;
        bool open = cell.Alarms.Process == ProcessControl.Open;
        MachineAction? action = open && alarm.Holds ? Helping(text, cell.Alarms, phases, left) : null;
        double? toAct = left - (action?.LeadTime.TotalSeconds ?? 0);
        string act = action is not null
            ? language.AtTheMachine.Replace("{name}", action.Name, StringComparison.Ordinal)
                .Replace("{time}", Quantity(action.LeadTime.TotalSeconds, "s", language), StringComparison.Ordinal) + " " + text.Action
            : !open && text.Helps.Length > 0 ? $"{text.Action} {language.Locked}" : text.Action;
        string howLong = toAct is null ? language.Urgency[alarm.Priority]
            : toAct > 0 ? language.TimeLeft.Replace("{time}", Quantity(Math.Round(toAct.Value), "s", language), StringComparison.Ordinal)
            : language.NoTimeLeft;
        return new AlarmTelling(key, where, what, text.Consequence, act, howLong, toAct);
    }

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

    private static string WhereOf(AlarmPicture alarm, CellDefinition cell, AlarmLanguage language)
    {
        if (alarm.Condition == "limit")
        {
            string?[] parts = [$"{language.Carrier} {alarm.Place.Split('/')[0]}", alarm.Figure, NameOf(cell, alarm.ChannelId)];
            return string.Join(", ", parts.OfType<string>());
        }

        return NameOf(cell, alarm.ChannelId)
            ?? cell.Devices.FirstOrDefault(d => d.Id == alarm.Place)?.Name
            ?? (cell.Carriers.Contains(alarm.Place) ? $"{language.Carrier} {alarm.Place}" : cell.Name);
    }

    private static string? NameOf(CellDefinition cell, string? channelId) => cell.Channels.FirstOrDefault(c => c.Id == channelId)?.Name;

    private static string UnitOf(AlarmPicture alarm, CellDefinition cell) => alarm switch
    {
        { Figure: { } figure } => Symbol(FigureCatalog.Find(figure)?.Unit),
        { Condition: "cycleStopped" or "recording" or "feed" or "clock" } => "s",
        { Condition: "plateauOff" or "offReference" } => "K",
        { ChannelId: { } id } => cell.Channels.FirstOrDefault(c => c.Id == id)?.Unit switch
        {
            MeasuredUnit.DegreeCelsius => "°C",
            MeasuredUnit.Millibar => "mbar",
            MeasuredUnit.Millivolt => "mV",
            _ => "",
        },
        _ => "",
    };

    private static string Symbol(string? unit) => unit switch { "degC" => "°C", "1" or null => "", _ => unit };

    private static string Quantity(double? value, string unit, AlarmLanguage language)
    {
        string number = value is { } known ? Math.Round(known, Math.Abs(known) < 10 ? 2 : 1).ToString(CultureInfo.InvariantCulture).Replace('.', language.DecimalSign) : "";
        return unit.Length == 0 ? number : $"{number}\u00a0{unit}";
    }
}
