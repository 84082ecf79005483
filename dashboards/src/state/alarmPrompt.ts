import type { AlarmLive, AlarmWords } from "../feed/alarmContract";
import type { CellLayout } from "../feed/layoutContract";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { unitOfAlarm } from "./figureUnits";
import type { Naming, Prompt, Tone } from "./promptTypes";

/** Conditions that say, by being there, that a limit is broken at this moment. */
const brokenNow = new Set([
  "tooHot",
  "timeAboveLiquidus",
  "fluidOverheat",
  "pressureLost",
  "evacuationRate",
  "ventRate",
]);
/** Conditions that say that something cannot be known. */
const unknowing = new Set(["deviceSilent", "sensor", "recording", "feed", "clock"]);
/** Conditions whose answer is to leave the hot chamber alone. */
const hot = new Set(["tooHot", "fluidOverheat"]);

/** Conditions that concern instruments and records, not the boards of this run. */
const upkeep = new Set([
  "sensor",
  "coldJunction",
  "recording",
  "feed",
  "feedRejected",
  "clock",
  "calibrationDue",
  "verificationDue",
]);

/** What the service says of an alarm, in the reader's language; empty where it does not speak that. */
function spoken(alarm: AlarmLive, texts: Texts): Pick<AlarmWords, "action" | "consequence" | "howLong"> {
  const none = { action: "", consequence: "", howLong: "" };
  return texts.language === "en" ? alarm : texts.language === "de" ? (alarm.de ?? none) : none;
}

function actionOf(alarm: AlarmLive, texts: Texts): string {
  // The service knows the cell's table of actions; what it says to do is possible now.
  const said = spoken(alarm, texts).action;
  if (said !== "" && alarm.state !== "returnedUnacknowledged") return said;
  if (alarm.condition === "deviceSilent") return texts.prompt.deviceRemedy;
  if (upkeep.has(alarm.condition)) return texts.alarm.tell;
  return hot.has(alarm.condition) && alarm.state !== "returnedUnacknowledged"
    ? texts.alarm.holdBoards
    : texts.alarm.after;
}

/** Where it is, and of which figure where the condition is any limit at all. */
function placeOf(alarm: AlarmLive, where: string | null, texts: Texts): string | null {
  const { figure } = alarm;
  const name = alarm.condition === "limit" && figure !== null ? (texts.figures.names[figure] ?? figure) : null;
  const parts = [name === null ? null : texts.lower(name), where].filter((part) => part !== null);
  return parts.length === 0 ? null : parts.join(", ");
}

/** The condition by name: its variant's, where it has one. */
function nameOf({ condition, text }: AlarmLive, texts: Texts): string {
  const names = texts.alarm.conditions;
  return (text.startsWith(`${condition}.`) ? names[text] : undefined) ?? names[condition] ?? condition;
}

/** What is wrong and where. Recipes are numbers to look for at the machine. */
function whatOf(alarm: AlarmLive, where: string | null, texts: Texts): string {
  const words = texts.alarm;
  if (alarm.condition === "wrongRecipe" && alarm.value !== null && alarm.limit !== null)
    return words.recipes(alarm.value, alarm.limit);
  const what = words.general(nameOf(alarm, texts), alarm.source ?? placeOf(alarm, where, texts));
  return alarm.words ? `${what} ${words.itSays(alarm.words)}` : what;
}

/** What the alarm says, without what to do. */
function matter(alarm: AlarmLive, naming: Naming, texts: Texts): string {
  const words = texts.alarm;
  const channel = naming.channel(alarm.channel);
  const unit = unitOfAlarm(alarm, naming.unit);
  const measured = unit !== "";
  const number = (value: number): string => write.withUnit(write.figure(value, unit, true), unit);
  if (
    alarm.condition === "tooHot" &&
    alarm.text !== "tooHot.vapour" &&
    channel !== null &&
    alarm.value !== null &&
    alarm.limit !== null &&
    alarm.value >= alarm.limit
  ) {
    const over = write.withUnit(write.figure(alarm.value - alarm.limit, "K", true), "K");
    const say = alarm.state === "returnedUnacknowledged" ? words.wasTooHot : words.tooHot;
    return say(channel, number(alarm.value), over, write.withUnit(write.limit(alarm.limit, "degC"), "degC"));
  }
  const what = whatOf(alarm, channel, texts);
  return measured && alarm.value !== null && alarm.limit !== null
    ? `${what} ${words.valueAndLimit(number(alarm.value), number(alarm.limit))}`
    : what;
}

/** How an alarm looks, by what it says and whether it still holds. */
export function toneOf(alarm: Pick<AlarmLive, "condition" | "state">): Tone {
  if (alarm.state === "returnedUnacknowledged") return "soon";
  if (brokenNow.has(alarm.condition)) return "act";
  return unknowing.has(alarm.condition) ? "unknown" : "soon";
}

/**
 * An alarm as a prompt. Where a limit is broken now, what to do comes first and large, what happened after it.
 * @param nowMs time of the cell
 */
export function alarmPrompt(alarm: AlarmLive, nowMs: number, naming: Naming, texts: Texts): Prompt {
  const words = texts.alarm;
  const tone = toneOf(alarm);
  const what = matter(alarm, naming, texts);
  const action = actionOf(alarm, texts);
  const since =
    alarm.since === null ? null : words.since(write.clock(alarm.since), write.wholeSpan((nowMs - alarm.since) / 1000));
  const seen = alarm.state === "acknowledged" ? words.seen : null;
  const returned = alarm.state === "returnedUnacknowledged";
  return {
    key: `alarm/${alarm.id}/${alarm.state}`,
    tone,
    sentence: tone === "act" ? action : what,
    // What is over asks for no action any more, only that somebody has seen it.
    detail: [
      tone === "act" ? what : returned ? words.cameBack : null,
      tone === "act" || returned ? null : action,
      since,
      seen,
    ]
      .filter((part) => part !== null)
      .join(" "),
    which: whatOf(alarm, naming.channel(alarm.channel), texts),
    alarm: alarm.state === "acknowledged" ? null : alarm,
  };
}

/** How people call a cell's channels. */
export function namingOf(layout: CellLayout): Naming {
  const channel = (id: string | null) => layout.channels.find((candidate) => candidate.id === id) ?? null;
  return {
    channel: (id) => (id === null ? null : (channel(id)?.name ?? id)),
    unit: (id) => channel(id)?.unit ?? "",
  };
}

/** An alarm taken apart, for a page that has room. */
export interface AlarmFacts {
  readonly tone: Tone;
  readonly what: string;
  readonly action: string;
  readonly since: string;
  readonly valueAndLimit: string | null;
  /** How long there is to act, and what happens if nobody does; empty where the service says nothing. */
  readonly howLong: string;
  readonly consequence: string;
  readonly prompt: Prompt;
}

/** @param nowMs time of the cell */
export function alarmFacts(
  alarm: AlarmLive,
  view: { readonly layout: CellLayout },
  nowMs: number,
  texts: Texts,
): AlarmFacts {
  const naming = namingOf(view.layout);
  const words = texts.alarm;
  const device = view.layout.devices.find((candidate) => alarm.id.endsWith(`/${candidate.id}`))?.name ?? null;
  const unit = unitOfAlarm(alarm, naming.unit);
  const number = (value: number): string => write.withUnit(write.figure(value, unit, true), unit);
  const measured = alarm.value !== null && alarm.limit !== null && unit !== "";
  return {
    tone: toneOf(alarm),
    what: whatOf(alarm, naming.channel(alarm.channel) ?? device, texts),
    action: actionOf(alarm, texts),
    since: alarm.since === null ? "–" : `${write.clock(alarm.since)}, ${write.wholeSpan((nowMs - alarm.since) / 1000)}`,
    valueAndLimit: measured ? words.valueAndLimit(number(alarm.value as number), number(alarm.limit as number)) : null,
    // The seconds move while the service's words stay as they were sent.
    howLong:
      alarm.timeToAct_s !== null
        ? alarm.timeToAct_s > 0
          ? texts.orders.timeLeft(write.wholeSpan(alarm.timeToAct_s))
          : texts.orders.noTimeLeft
        : spoken(alarm, texts).howLong,
    consequence: spoken(alarm, texts).consequence,
    prompt: alarmPrompt(alarm, nowMs, naming, texts),
  };
}
