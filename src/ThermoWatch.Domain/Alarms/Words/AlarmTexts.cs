using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>What is said of one kind of alarm.</summary>
/// <param name="What">What is wrong, with the blanks that <see cref="AlarmTelling"/> fills in.</param>
/// <param name="WhatShort">The same where no value is known.</param>
/// <param name="Consequence">What happens if nobody acts.</param>
/// <param name="Action">What to do, where no action at the machine helps or may be taken.</param>
/// <param name="Helps">What an action at the machine must bring about to help, best first.</param>
public sealed record AlarmText(string What, string WhatShort, string Consequence, string Action, params ActionEffect[] Helps);

/// <summary>All that alarms say, in one place, by key: the condition's name, with a variant after a dot.</summary>
public static class AlarmTexts
{
    private const string HoldHot = "Keep the chamber closed, let the programme end, hold the boards.";
    private const string Hold = "Let the programme end, hold the boards until somebody has decided.";

    /// <summary>Until when to act, where no time is known: by priority.</summary>
    public static FrozenDictionary<AlarmPriority, string> Urgency { get; } = new Dictionary<AlarmPriority, string>
    {
        [AlarmPriority.High] = "Act now.",
        [AlarmPriority.Medium] = "Act before these boards go on or the next run begins.",
        [AlarmPriority.Low] = "Act in this shift.",
    }.ToFrozenDictionary();

    /// <summary>The texts, in English.</summary>
    public static FrozenDictionary<string, AlarmText> English { get; } = new Dictionary<string, AlarmText>
    {
        ["tooHot"] = new(
            "{where} has reached {value}, {beyond} above its peak limit of {limit}.", "{where} is above its peak limit.",
            "Parts and laminate may be damaged.", HoldHot),
        ["tooHot.vapour"] = new(
            "{where} has reached {value}; the vapour can make it {limit} at most.", "{where} is hotter than the vapour can make it.",
            "Something else heats the board, or the sensor is wrong: damage cannot be ruled out.", HoldHot),
        ["timeAboveLiquidus"] = new(
            "{where} has been liquid for {value}, {allowed}.", "{where} has been liquid for too long.",
            "Joints grow brittle and parts age.", HoldHot, ActionEffect.EndHold, ActionEffect.StartCooling),
        ["coldAtEvacuation"] = new(
            "{where} was {size} {side} liquidus when the evacuation began{needed}.", "{where}: the evacuation began before every joint was molten.",
            "Pasty solder spatters, and voids stay.", "Let the programme end, hold the boards, have the coldest joints inspected. A second reflow is a deviation.",
            ActionEffect.EvacuateLater, ActionEffect.StayInVapour),
        ["slowPumpDown"] = new(
            "{where}: pumping down has taken {value}, {allowed}.", "{where}: pumping down takes too long.",
            "The hold gets short and voids stay.", "Let the programme end, hold the boards. Have the pump looked at in the next stop."),
        ["basePressure"] = new(
            "{where}: the lowest pressure was {value}, the target is {limit}.", "{where}: the target pressure was not reached.",
            "Voids stay in the joints.", "Let the programme end, hold the boards. Have seal, pump and gauge looked at before the next run."),
        ["freezeUnderVacuum"] = new(
            "{where} has fallen to {size} {side} liquidus under vacuum{needed}.", "{where}: a joint has fallen below liquidus under vacuum.",
            "Voids freeze at their largest.", "Let the programme end, hold the boards, have the coldest joints inspected.", ActionEffect.EndHold),
        ["pressureLost"] = new(
            "{where}: the pressure has risen to {value} in the hold, {allowed}.", "{where}: the pressure rises in the hold.",
            "The hold does not count, and voids stay.", "Let the programme end, hold the boards. Seal and pump need service after the run."),
        ["evacuationRate"] = new(
            "{where}: the pressure fell too fast, {figure} was {value}, {allowed}.", "{where}: the pressure fell too fast.",
            "Molten solder may have spattered.", "Let the programme end, hold the boards, have them inspected for solder balls."),
        ["ventRate"] = new(
            "{where}: the vent is off its limits, {figure} was {value}, {allowed}.", "{where}: the vent is off its limits.",
            "Joints may have been disturbed or have frozen too early.", "Let the programme end, hold the boards. Have the vent valve looked at in the next stop."),
        ["soakMissed"] = new(
            "{where} was in the soak for {value}, {allowed}.", "{where}: the soak is off its limits.",
            "Flux is spent or not yet active, and places differ in temperature.", Hold, ActionEffect.StayInVapour),
        ["plateauOff"] = new(
            "{where} has stood {size} {side} the fluid’s boiling point, three runs running; at most {most} allowed.", "{where} stands off the fluid’s boiling point.",
            "Boards get hotter or colder than released.", "Have the fluid, the air in the vapour and the gauge looked at in the next stop."),
        ["movedWhileLiquid"] = new(
            "{where} has shown {value} while joints were liquid, {allowed}.", "{where}: the carrier moved while joints were liquid.",
            "Joints may be disturbed.", "Let the programme end, hold the boards, have the joints inspected."),
        ["offReference"] = new(
            "{where} is {value} outside the corridor of the released runs.", "{where} is outside the corridor of the released runs.",
            "This run is not like those that were released.", Hold),
        ["unexpectedVacuum"] = new(
            "{where}: evacuations so far {value}, the spec asks for {limit}.", "{where}: the evacuations are not those that the spec asks for.",
            "Another recipe may be running.", "Compare the recipe at the machine with the product. Load no more boards until it is right; hold these."),
        ["wrongRecipe"] = new(
            "{where}: recipe {value} is running, {product} asks for {limit}.", "{where}: another recipe is running than {product} asks for.",
            "These boards are soldered by another recipe.", "Do not load more. Let the programme end, hold the boards."),
        ["cycleStopped"] = new(
            "{where}: the next step has not come after {value}, usually within {limit}; joints are liquid.", "{where}: the next step does not come; joints are liquid.",
            "Time above liquidus goes on.", "Keep the chamber closed. Look at the machine’s own display, hold the boards.",
            ActionEffect.NextStep, ActionEffect.StartCooling),
        ["fluidOverheat"] = new(
            "{where} has reached {value}, {beyond} above the {limit} up to which the fluid is stable.", "{where} is hotter than the fluid is stable.",
            "The fluid decomposes into toxic products, hydrogen fluoride among them.",
            "Stop heating at the machine’s own control. Keep the chamber closed, the extraction running and people away; call service.", ActionEffect.StopHeating),
        ["limit"] = new(
            "{where}: {figure} is {value}, {allowed}.", "{where}: {figure} does not meet what the spec asks.",
            "The run is outside what its spec asks.", "Hold the boards until somebody has decided."),
        ["coldJunction"] = new(
            "{where} has read {value}, {allowed}.", "{where} gives no reading that can be believed.",
            "Temperatures that lean on it are not known.", "Have the instrument looked at; what it has measured since then is undetermined."),
        ["deviceSilent"] = new(
            "No data from {where}.", "No data from {where}.",
            "What happens to the boards is not known from here.", "Look at the machine’s own display. Check the instrument’s plug and supply."),
        ["recording"] = new(
            "The record of {where} is {span} behind, {allowed}.", "The record of {where} is not being written.",
            "Readings will be missing in the record.", "Check the disk of the computer that runs this service."),
        ["feed"] = Late("A feed is {span} behind, {allowed}."),
        ["feed.named"] = Late("Feed {feed} is {span} behind, {allowed}."),
        ["feedRejected"] = RefusedLines("Lines of a feed are refused by the system that it goes to: {value} so far."),
        ["feedRejected.named"] = RefusedLines("Lines of feed {feed} are refused by the system that it goes to: {value} so far."),
        ["feedRejected.words"] = RefusedLines("Lines of feed {feed} are refused by the system that it goes to: {value} so far. It says “{words}”."),
        ["clock"] = new(
            "The computer’s clock has been set {way} by {span}.", "The computer’s clock has been set.",
            "Times of other systems no longer match these.", "Check the computer’s time source."),
        ["calibrationDue"] = new(
            "The calibration of {where} is {value} past its day.", "The calibration of {where} is past its day.",
            "Runs are judged with a channel whose error nobody has checked.", "Have the channel calibrated."),
        ["verificationDue"] = Verify("{where}: {value} runs since the last verification run, due after {limit}."),
        ["verificationDue.age"] = Verify("{where}: the last verification run was {value} ago, due after {limit}."),
        ["verificationDue.work"] = Verify("{where}: no verification run since work on {work}."),
    }.ToFrozenDictionary();

    private static AlarmText Late(string what) => new(
        what, "A feed is behind.", "Other systems show old values; the record here goes on.", "Check the system that the feed goes to, and the network.");

    private static AlarmText RefusedLines(string what) => new(
        what, "Lines of a feed are refused by the system that it goes to.", "Other systems lack these values; the record here has them.",
        "Read that system’s words under Feeds. Have it put right, then send the lines again or discard them.");

    private static AlarmText Verify(string what) => new(
        what, "{where}: a verification run is due.", "The process is no longer shown to be what was released.", "Plan a verification run.");
}
