using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>What is said of one kind of alarm.</summary>
/// <param name="What">What is wrong; {where}, {value}, {limit}, {beyond}, {feed} and {words} are filled in.</param>
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

    /// <summary>A time that is known: {time} is filled in.</summary>
    public const string TimeLeft = "There are {time} left.";

    /// <summary>The time is over.</summary>
    public const string NoTimeLeft = "There is no time left to change it.";

    /// <summary>An action at the machine in an open process: {name} and {time} are filled in.</summary>
    public const string AtTheMachine = "{name}, at the machine’s own control; it takes effect after about {time}.";

    /// <summary>Added where acting would be a deviation.</summary>
    public const string Locked = "Keep these boards apart after unloading.";

    /// <summary>The texts, in English.</summary>
    public static FrozenDictionary<string, AlarmText> English { get; } = new Dictionary<string, AlarmText>
    {
        ["tooHot"] = new(
            "{where} reads {value}, {beyond} above its peak limit of {limit}.", "{where} is above its peak limit.",
            "Parts and laminate may be damaged.", HoldHot),
        ["tooHot.vapour"] = new(
            "{where} reads {value}, {beyond} above what the vapour can give.", "{where} is hotter than the vapour can make it.",
            "Something else heats the board, or the sensor is wrong: damage cannot be ruled out.", HoldHot),
        ["timeAboveLiquidus"] = new(
            "{where} has been liquid for {value}, limit {limit}.", "{where} has been liquid for too long.",
            "Joints grow brittle and parts age.", HoldHot, ActionEffect.EndHold, ActionEffect.StartCooling),
        ["coldAtEvacuation"] = new(
            "The evacuation began with {where} at {value} above liquidus, asked {limit}.", "The evacuation began before every joint was molten.",
            "Pasty solder spatters, and voids stay.", "Let the programme end, hold the boards, have the coldest joints inspected. A second reflow is a deviation.",
            ActionEffect.EvacuateLater, ActionEffect.StayInVapour),
        ["slowPumpDown"] = new(
            "Pumping has taken {value}, limit {limit}.", "Pumping takes too long.",
            "The hold gets short and voids stay.", "Let the programme end, hold the boards. Have the pump looked at in the next stop."),
        ["basePressure"] = new(
            "The lowest pressure was {value}, target {limit}.", "The target pressure was not reached.",
            "Voids stay in the joints.", "Let the programme end, hold the boards. Have seal, pump and gauge looked at before the next run."),
        ["freezeUnderVacuum"] = new(
            "{where} has fallen to {value} from liquidus under vacuum.", "A joint has fallen below liquidus under vacuum.",
            "Voids freeze at their largest.", "Let the programme end, hold the boards, have the coldest joints inspected.", ActionEffect.EndHold),
        ["pressureLost"] = new(
            "The pressure has risen to {value} in the hold, limit {limit}.", "The pressure rises in the hold.",
            "The hold does not count, and voids stay.", "Let the programme end, hold the boards. Seal and pump need service after the run."),
        ["evacuationRate"] = new(
            "The pressure fell at {value}, limit {limit}.", "The pressure fell too fast.",
            "Molten solder may have spattered.", "Let the programme end, hold the boards, have them inspected for solder balls."),
        ["ventRate"] = new(
            "The vent showed {value}, limit {limit}.", "The vent was off its limits.",
            "Joints may have been disturbed or have frozen too early.", "Let the programme end, hold the boards. Have the vent valve looked at in the next stop."),
        ["soakMissed"] = new(
            "{where} soaked for {value}, limit {limit}.", "The soak is off its limits.",
            "Flux is spent or not yet active, and places differ in temperature.", Hold, ActionEffect.StayInVapour),
        ["plateauOff"] = new(
            "The vapour has stood {value} from the fluid’s boiling point, three runs running.", "The vapour stands off the fluid’s boiling point.",
            "Boards get hotter or colder than released.", "Have the fluid, the air in the vapour and the gauge looked at in the next stop."),
        ["movedWhileLiquid"] = new(
            "{where} shows {value} with liquid joints, limit {limit}.", "The carrier moved with liquid joints.",
            "Joints may be disturbed.", "Let the programme end, hold the boards, have the joints inspected."),
        ["offReference"] = new(
            "{where} is {value} outside the released runs.", "{where} is outside the released runs.",
            "This run is not like those that were released.", Hold),
        ["unexpectedVacuum"] = new(
            "{value} evacuations, the spec asks for {limit}.", "The evacuations are not those of the spec.",
            "Another recipe may be running.", "Compare the recipe at the machine with the product. Load no more boards until it is right; hold these."),
        ["wrongRecipe"] = new(
            "Recipe {value} is running, the product asks for {limit}.", "Another recipe than the product’s is running.",
            "These boards are soldered by another recipe.", "Do not load more. Let the programme end, hold the boards."),
        ["cycleStopped"] = new(
            "The next step has not come after {value}, usually within {limit}; joints are liquid.", "The next step does not come; joints are liquid.",
            "Time above liquidus goes on.", "Keep the chamber closed. Look at the machine’s own display, hold the boards.",
            ActionEffect.NextStep, ActionEffect.StartCooling),
        ["fluidOverheat"] = new(
            "{where} reads {value}, {beyond} above {limit}.", "{where} is hotter than the fluid stands.",
            "The fluid decomposes into toxic products, hydrogen fluoride among them.",
            "Stop heating at the machine’s own control. Keep the chamber closed, the extraction running and people away; call service.", ActionEffect.StopHeating),
        ["limit"] = new(
            "{where}: {value}, limit {limit}.", "{where}: not reached.",
            "The run does not meet its spec.", "Hold the boards until somebody has decided."),
        ["coldJunction"] = new(
            "{where} reads {value}, limit {limit}.", "{where} gives no reading that can be believed.",
            "Temperatures that lean on it are not known.", "Have the instrument looked at; what it has measured since then is undetermined."),
        ["deviceSilent"] = new(
            "No data from {where}.", "No data from {where}.",
            "What happens to the boards is not known from here.", "Look at the machine’s own display. Check the instrument’s plug and supply."),
        ["recording"] = new(
            "The record is {value} behind, limit {limit}.", "The record is behind.",
            "Readings will be missing in the record.", "Check the disk of the computer that runs this service."),
        ["feed"] = new(
            "A feed is {value} behind, limit {limit}.", "A feed is behind.",
            "Other systems show old values; the record here goes on.", "Check the system that the feed goes to, and the network."),
        ["feedRejected"] = RefusedLines("{value} lines of a feed are refused by the system that it goes to."),
        ["feedRejected.named"] = RefusedLines("{value} lines of a feed ({feed}) are refused by the system that it goes to."),
        ["feedRejected.words"] = RefusedLines("{value} lines of a feed ({feed}) are refused by the system that it goes to, which says “{words}”."),
        ["clock"] = new(
            "The computer’s clock has stepped by {value}.", "The computer’s clock has stepped.",
            "Times of other systems no longer match these.", "Check the computer’s time source."),
        ["calibrationDue"] = new(
            "The calibration of {where} is past its day.", "The calibration of {where} is past its day.",
            "Runs are judged with a channel whose error nobody has checked.", "Have the channel calibrated."),
        ["verificationDue"] = new(
            "{value} runs since the last verification run, limit {limit}.", "A verification run is due.",
            "The process is no longer shown to be what was released.", "Plan a verification run."),
    }.ToFrozenDictionary();

    private static AlarmText RefusedLines(string what) => new(
        what, "Lines of a feed are refused by the system that it goes to.", "Other systems lack these values; the record here has them.",
        "Read that system’s words under Feeds. Have it put right, then send the lines again or discard them.");
}
