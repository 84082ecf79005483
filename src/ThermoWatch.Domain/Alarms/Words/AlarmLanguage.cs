using System.Collections.Frozen;
using ThermoWatch.Domain.Runs;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>All that alarms say in one language.</summary>
public sealed record AlarmLanguage
{
    /// <summary>ISO 639 code.</summary>
    public required string Code { get; init; }

    /// <summary>By key: the condition's name, with a variant after a dot.</summary>
    public required FrozenDictionary<string, AlarmText> Texts { get; init; }

    /// <summary>What is said of a condition that has no texts: one of another version of the program, whose alarms the record holds.</summary>
    public required AlarmText Unworded { get; init; }

    /// <summary>Until when to act, where no time is known: by priority.</summary>
    public required FrozenDictionary<AlarmPriority, string> Urgency { get; init; }

    /// <summary>A time that is known: {time} is filled in.</summary>
    public required string TimeLeft { get; init; }

    /// <summary>The time is over.</summary>
    public required string NoTimeLeft { get; init; }

    /// <summary>An action at the machine in an open process: {name} and {time} are filled in.</summary>
    public required string AtTheMachine { get; init; }

    /// <summary>Added where acting would be a deviation.</summary>
    public required string Locked { get; init; }

    /// <summary>The word before a carrier's name.</summary>
    public required string Carrier { get; init; }

    /// <summary>Between whole and part of a number.</summary>
    public required char DecimalSign { get; init; }

    /// <summary>A limit from above, beside a value: {limit} is filled in.</summary>
    public required string AtMost { get; init; }

    /// <summary>A limit from below.</summary>
    public required string AtLeast { get; init; }

    /// <summary>Beside a place that had to be liquid, where more than that is asked: {limit} is filled in.</summary>
    public required string MarginNeeded { get; init; }

    /// <summary>Added where a limit is known and no value.</summary>
    public required string LimitAlone { get; init; }

    /// <summary>Before what held and holds no more: {what} is filled in.</summary>
    public required string Over { get; init; }

    /// <summary>Before what an alarm would say if it held, where nobody says that it does: {what} is filled in.</summary>
    public required string WatchesFor { get; init; }

    /// <summary>Round a name of figures: {name} is filled in.</summary>
    public required string Quoted { get; init; }

    /// <summary>The product, where its name is not known.</summary>
    public required string TheProduct { get; init; }

    /// <summary>On which side of a level, first above, then below.</summary>
    public required (string Above, string Below) Sides { get; init; }

    /// <summary>Which way a clock was set, first forward, then back.</summary>
    public required (string Forward, string Back) Ways { get; init; }

    /// <summary>What was worked on.</summary>
    public required FrozenDictionary<ServiceKind, string> Works { get; init; }

    /// <summary>What people call the figures.</summary>
    public required FrozenDictionary<string, string> Figures { get; init; }

    /// <summary>English.</summary>
    public static AlarmLanguage English { get; } = new()
    {
        Code = "en",
        Texts = AlarmTexts.English,
        Unworded = new AlarmText(
            "{where}: “{condition}”, {value}, {allowed}.", "{where}: “{condition}”.", "What follows from it is not known here.", "Hold the boards until somebody has decided."),
        Urgency = AlarmTexts.Urgency,
        TimeLeft = "There are {time} left.",
        NoTimeLeft = "There is no time left to change it.",
        AtTheMachine = "{name}, at the machine’s own control; it takes effect after about {time}.",
        Locked = "Keep these boards apart after unloading.",
        Carrier = "Carrier",
        DecimalSign = '.',
        AtMost = "at most {limit} allowed",
        AtLeast = "at least {limit} needed",
        MarginNeeded = ", at least {limit} above it needed",
        LimitAlone = "The limit is {limit}.",
        Over = "Over: {what}",
        WatchesFor = "It watches for: {what}",
        Quoted = "“{name}”",
        TheProduct = "the product",
        Sides = ("above", "below"),
        Ways = ("forward", "back"),
        Works = new Dictionary<ServiceKind, string>
        {
            [ServiceKind.Oil] = "the pump’s oil",
            [ServiceKind.Filter] = "a filter",
            [ServiceKind.Seal] = "a seal of the chamber",
            [ServiceKind.Gauge] = "the pressure gauge",
            [ServiceKind.Fluid] = "the fluid",
            [ServiceKind.Sensors] = "sensors or their instrument",
            [ServiceKind.Other] = "something else of the machine",
        }.ToFrozenDictionary(),
        Figures = FigureNames.English,
    };

    /// <summary>German.</summary>
    public static AlarmLanguage German { get; } = new()
    {
        Code = "de",
        Texts = GermanAlarmTexts.Texts,
        Unworded = new AlarmText(
            "{where}: „{condition}“, {value}, {allowed}.", "{where}: „{condition}“.", "Was daraus folgt, ist hier nicht bekannt.", "Baugruppen sperren, bis jemand entschieden hat."),
        Urgency = GermanAlarmTexts.Urgency,
        TimeLeft = "Es bleiben {time}.",
        NoTimeLeft = "Es bleibt keine Zeit mehr, etwas daran zu ändern.",
        AtTheMachine = "{name}, an der Bedienung der Maschine; wirkt nach etwa {time}.",
        Locked = "Diese Baugruppen nach dem Entladen getrennt halten.",
        Carrier = "Träger",
        DecimalSign = ',',
        AtMost = "höchstens {limit} erlaubt",
        AtLeast = "mindestens {limit} nötig",
        MarginNeeded = "; mindestens {limit} darüber nötig",
        LimitAlone = "Die Grenze ist {limit}.",
        Over = "Vorbei: {what}",
        WatchesFor = "Überwacht wird: {what}",
        Quoted = "„{name}“",
        TheProduct = "das Produkt",
        Sides = ("über", "unter"),
        Ways = ("vor", "zurück"),
        Works = new Dictionary<ServiceKind, string>
        {
            [ServiceKind.Oil] = "am Öl der Pumpe",
            [ServiceKind.Filter] = "an einem Filter",
            [ServiceKind.Seal] = "an einer Dichtung der Kammer",
            [ServiceKind.Gauge] = "an der Messröhre",
            [ServiceKind.Fluid] = "am Medium",
            [ServiceKind.Sensors] = "an Fühlern oder ihrem Messgerät",
            [ServiceKind.Other] = "an etwas anderem der Maschine",
        }.ToFrozenDictionary(),
        Figures = FigureNames.German,
    };

    /// <summary>All languages; the first is the one that everything falls back to.</summary>
    public static IReadOnlyList<AlarmLanguage> All { get; } = [English, German];

    /// <inheritdoc/>
    public override string ToString() => Code;

    /// <summary>Every sentence that it can say.</summary>
    public IEnumerable<string> Sentences =>
    [
        .. Texts.Values.Append(Unworded).SelectMany(t => (string[])[t.What, t.WhatShort, t.Consequence, t.Action]),
        .. Urgency.Values, TimeLeft, NoTimeLeft, AtTheMachine, Locked, AtMost, AtLeast, MarginNeeded, LimitAlone, Over, WatchesFor, TheProduct, .. Works.Values, .. Figures.Values,
    ];
}
