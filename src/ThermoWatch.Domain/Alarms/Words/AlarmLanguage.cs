using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>All that alarms say in one language.</summary>
/// <param name="Code">ISO 639 code.</param>
/// <param name="Texts">By key: the condition's name, with a variant after a dot.</param>
/// <param name="Urgency">Until when to act, where no time is known: by priority.</param>
/// <param name="TimeLeft">A time that is known: {time} is filled in.</param>
/// <param name="NoTimeLeft">The time is over.</param>
/// <param name="AtTheMachine">An action at the machine in an open process: {name} and {time} are filled in.</param>
/// <param name="Locked">Added where acting would be a deviation.</param>
/// <param name="Carrier">The word before a carrier's name.</param>
/// <param name="DecimalSign">Between whole and part of a number.</param>
public sealed record AlarmLanguage(
    string Code, FrozenDictionary<string, AlarmText> Texts, FrozenDictionary<AlarmPriority, string> Urgency,
    string TimeLeft, string NoTimeLeft, string AtTheMachine, string Locked, string Carrier, char DecimalSign)
{
    /// <summary>English.</summary>
    public static AlarmLanguage English { get; } = new(
        "en", AlarmTexts.English, AlarmTexts.Urgency, AlarmTexts.TimeLeft, AlarmTexts.NoTimeLeft, AlarmTexts.AtTheMachine, AlarmTexts.Locked, "Carrier", '.');

    /// <summary>German.</summary>
    public static AlarmLanguage German { get; } = new(
        "de", GermanAlarmTexts.Texts, GermanAlarmTexts.Urgency, "Es bleiben {time}.", "Es bleibt keine Zeit mehr, etwas daran zu ändern.",
        "{name}, an der Bedienung der Maschine; wirkt nach etwa {time}.", "Diese Baugruppen nach dem Entladen getrennt halten.", "Träger", ',');

    /// <summary>All languages; the first is the one that everything falls back to.</summary>
    public static IReadOnlyList<AlarmLanguage> All { get; } = [English, German];

    /// <summary>Every sentence that it can say.</summary>
    public IEnumerable<string> Sentences =>
    [
        .. Texts.Values.SelectMany(t => (string[])[t.What, t.WhatShort, t.Consequence, t.Action]),
        .. Urgency.Values, TimeLeft, NoTimeLeft, AtTheMachine, Locked,
    ];
}
