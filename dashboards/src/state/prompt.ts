import type { AlarmLive } from "../feed/alarmContract";
import type { DeviceLive } from "../feed/contract";
import type { Comparison } from "../feed/papers";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { alarmPrompt, namingOf } from "./alarmPrompt";
import type { Asked } from "./asked";
import type { Link } from "./cellStore";
import { type Prompt, prompt, type Tone } from "./promptTypes";
import { type RecordRoom, roomPrompt } from "./recordRoom";
import { finishedPrompt, runningPrompt } from "./runPrompt";
import type { CellView } from "./view";

const toneOrder: Record<Tone, number> = { act: 0, soon: 1, unknown: 2, calm: 3 };

function linkPrompt(link: Link, nowMs: number, wallMs: number, texts: Texts): Prompt | null {
  const words = texts.prompt;
  if (link.kind !== "lost") return null;
  const forMs = nowMs - link.sinceMs;
  const age = write.wholeSpan(forMs / 1000);
  const waitMs = link.nextAttemptMs === null ? 0 : link.nextAttemptMs - nowMs;
  const asking = waitMs < 500 ? words.askingNow : words.askingIn(write.wholeSpan(waitMs / 1000));
  if (!link.wasLive)
    return prompt(
      "link/opening",
      "unknown",
      forMs < 2000 ? words.opening : words.openingFor(age),
      `${words.openingDetail} ${asking}`,
    );
  return prompt("link/lost", "unknown", words.lost(write.clock(wallMs - forMs)), `${words.lostDetail(age)} ${asking}`);
}

function devicePrompts(devices: readonly DeviceLive[], view: CellView, texts: Texts): Prompt[] {
  const words = texts.prompt;
  return devices
    .filter((device) => device.state === "down" || device.state === "suspect")
    .flatMap((device) => {
      const name = view.layout.devices.find((known) => known.id === device.id)?.name ?? device.id;
      const ages = view.channels
        .filter((channel) => channel.layout.device === device.id)
        .map((channel) => channel.ageMs);
      const ageMs = Math.max(0, ...ages);
      // A device may miss a few answers; while its numbers are young there is nothing to say.
      if (device.state === "suspect" && ageMs < 1500) return [];
      const what = Number.isFinite(ageMs)
        ? words.deviceDown(name, write.wholeSpan(ageMs / 1000))
        : words.deviceDownUnknown(name);
      return [
        prompt(
          `device/${device.id}`,
          "unknown",
          `${what} ${words.deviceRemedy}`,
          // What never came is not old.
          Number.isFinite(ageMs) ? words.deviceDetail(device.reason) : device.reason,
        ),
      ];
    });
}

/** Several alarms may ask for one thing: then each says what it is about. */
function told(found: readonly Prompt[]): Prompt[] {
  const twice = (one: Prompt) => found.some((other) => other !== one && other.sentence === one.sentence);
  return found.map((one) => (one.which && twice(one) ? { ...one, sentence: `${one.sentence} ${one.which}` } : one));
}

/** Everything a prompt is made from. */
export interface PromptInput {
  readonly view: CellView | null;
  readonly link: Link;
  readonly alarms: readonly AlarmLive[];
  readonly devices: readonly DeviceLive[];
  /** The page's own clock, ms. */
  readonly nowMs: number;
  /** Time of the day of that moment, ms since 1970. */
  readonly wallMs: number;
  /** How the run that has ended compares, if no board of it was measured; null: nobody has asked. */
  readonly comparison: Asked<Comparison> | null;
  /** How the record stands; null: not known. */
  readonly room?: RecordRoom | null;
}

/**
 * The sentences for the top of the page, most urgent first. Never empty, always true: what is broken now, what is
 * outside, what cannot be known, and only if there is none of these the calm one.
 */
export function prompts(input: PromptInput, texts: Texts): readonly Prompt[] {
  const { view, link, nowMs } = input;
  const words = texts.prompt;
  const lost = linkPrompt(link, nowMs, input.wallMs, texts);
  if (view === null) return [lost ?? prompt("link/opening", "unknown", words.opening, words.openingDetail)];
  const naming = namingOf(view.layout);
  const alarms = told(
    input.alarms
      // A silent device is said below, with its name and what to look at.
      .filter((alarm) => alarm.condition !== "deviceSilent" || alarm.state === "returnedUnacknowledged")
      .map((alarm) => alarmPrompt(alarm, view.nowMs ?? nowMs, naming, texts)),
  );
  // A lost page hears nothing: that comes before what it heard last, and of devices it knows nothing any more.
  if (lost !== null) return [lost, ...alarms];
  const found = [...alarms, ...devicePrompts(input.devices, view, texts)].sort(
    (a, b) => toneOrder[a.tone] - toneOrder[b.tone],
  );
  // A full disk comes after what happens to boards.
  const room = roomPrompt(input.room ?? null, texts);
  if (room !== null)
    found.push(
      // How the run goes on is said with it: it takes the calm sentence's place.
      found.length > 0 || view.mode !== "running" || view.stale
        ? room
        : { ...room, detail: `${room.detail} ${runningPrompt(view, texts).detail}` },
    );
  // A verdict stands beside whatever else is to be said; "no action asked" does not.
  if (found.length > 0)
    return view.mode === "finished" ? [...found, finishedPrompt(view, naming, texts, input.comparison)] : found;
  if (view.layout.channels.length === 0)
    return [prompt("unwired", "unknown", words.noChannels, words.noChannelsDetail)];
  if (link.kind === "live" && view.stale && view.ageMs !== null)
    return [prompt("stale", "unknown", words.stale(write.wholeSpan(view.ageMs / 1000)), words.staleDetail)];
  if (view.mode === "running") return [runningPrompt(view, texts)];
  if (view.mode === "finished") return [finishedPrompt(view, naming, texts, input.comparison)];
  if (view.ageMs === null) return [prompt("noReadings", "unknown", words.noReadings, words.noReadingsDetail)];
  return [prompt("waiting", "calm", words.waitingFirst, words.waitingDetail)];
}
