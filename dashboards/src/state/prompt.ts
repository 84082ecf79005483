import type { AlarmLive, DeviceLive, UsualPhase } from "../feed/contract";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Link } from "./cellStore";
import type { FigureRow } from "./figureRows";
import type { CellView } from "./view";

/**
 * How a prompt looks. `act`: a limit is broken now (filled square). `soon`: something is outside or will be (triangle).
 * `unknown`: the page cannot tell (hatch). `calm`: nothing asked.
 */
export type Tone = "act" | "soon" | "unknown" | "calm";

/** One sentence for the top of the page, why, and whether somebody can say that they have seen it. */
export interface Prompt {
  /** The same while the matter is the same, though its numbers change: what is announced, and how often. */
  readonly key: string;
  readonly tone: Tone;
  readonly sentence: string;
  readonly detail: string;
  /** Alarm that can be acknowledged here. */
  readonly alarm: AlarmLive | null;
}

/** Conditions that say, by being there, that a limit is broken at this moment. */
const brokenNow = new Set([
  "tooHot",
  "timeAboveLiquidus",
  "fluidOverheat",
  "pressureLost",
  "evacuationRate",
  "ventRate",
]);
const toneOrder: Record<Tone, number> = { act: 0, soon: 1, unknown: 2, calm: 3 };

interface Naming {
  readonly channel: (id: string | null) => string | null;
  readonly unit: (id: string | null) => string;
}

function alarmPrompt(alarm: AlarmLive, nowMs: number, naming: Naming, texts: Texts): Prompt {
  const words = texts.alarm;
  const channel = naming.channel(alarm.channel);
  const unit = naming.unit(alarm.channel);
  const number = (value: number): string =>
    unit === "mbar"
      ? `${write.pressure(value)}${write.nbsp}mbar`
      : `${write.temperature(value)}${write.nbsp}${write.unit(unit)}`;
  let what: string;
  if (alarm.condition === "tooHot" && channel !== null) {
    what =
      alarm.value !== null && alarm.limit !== null && alarm.value >= alarm.limit
        ? words.tooHot(
            channel,
            number(alarm.value),
            `${write.temperature(alarm.value - alarm.limit)}${write.nbsp}K`,
            `${write.limit(alarm.limit)}${write.nbsp}°C`,
          )
        : words.tooHotNoValue(channel);
  } else {
    what = words.general(words.conditions[alarm.condition] ?? alarm.condition, channel);
    if (alarm.value !== null && alarm.limit !== null && (unit === "degC" || unit === "mbar"))
      what = `${what.slice(0, -1)}. ${words.valueAndLimit(number(alarm.value), number(alarm.limit))}.`;
  }
  const since = words.since(write.clock(alarm.since), write.wholeSpan((nowMs - alarm.since) / 1000));
  const returned = alarm.state === "returnedUnacknowledged";
  const tone: Tone = returned
    ? "soon"
    : alarm.condition === "deviceSilent" || alarm.condition === "sensor"
      ? "unknown"
      : brokenNow.has(alarm.condition)
        ? "act"
        : "soon";
  const action = alarm.condition === "tooHot" || alarm.condition === "fluidOverheat" ? words.holdBoards : words.after;
  return {
    key: `alarm/${alarm.id}/${alarm.state}`,
    tone,
    sentence: returned ? words.cameBack(what) : tone === "act" ? `${what} ${action}` : what,
    detail: [
      since,
      returned || tone === "act" ? (returned ? words.after : null) : tone === "unknown" ? null : words.after,
      alarm.state === "acknowledged" ? words.seen : null,
    ]
      .filter((part) => part !== null)
      .join(" · "),
    alarm: alarm.state === "acknowledged" ? null : alarm,
  };
}

function devicePrompt(device: DeviceLive, name: string, sinceS: number, texts: Texts): Prompt {
  const words = texts.prompt;
  return {
    key: `device/${device.id}`,
    tone: "unknown",
    sentence: `${device.state === "down" || sinceS > 0 ? words.deviceDown(name, write.wholeSpan(sinceS)) : words.deviceDownUnknown(name)} ${words.deviceRemedy}`,
    detail: words.deviceDetail(device.reason),
    alarm: null,
  };
}

function linkPrompt(link: Link, nowMs: number, wallMs: number, texts: Texts): Prompt | null {
  const words = texts.prompt;
  if (link.kind !== "lost") return null;
  const age = (nowMs - link.sinceMs) / 1000;
  const asking =
    link.nextAttemptMs === null || link.nextAttemptMs - nowMs < 500
      ? words.askingNow
      : words.askingIn(write.wholeSpan((link.nextAttemptMs - nowMs) / 1000));
  if (!link.wasLive)
    return {
      key: "link/opening",
      tone: "unknown",
      sentence: age < 2 ? words.opening : words.openingFor(write.wholeSpan(age)),
      detail: `${words.openingDetail} ${asking}`,
      alarm: null,
    };
  return {
    key: "link/lost",
    tone: "unknown",
    sentence: words.lost(write.clock(wallMs - (nowMs - link.sinceMs))),
    detail: `${words.lostDetail(write.wholeSpan(age))} ${asking}`,
    alarm: null,
  };
}

/** The next phase that usually comes and has not: what a calm sentence speaks of. Vacuum steps come before thermal ones. */
export function nextPhase(
  usual: readonly UsualPhase[],
  seen: readonly { readonly phase: string; readonly track: string }[],
  elapsed_s: number,
): UsualPhase | null {
  const unseen = usual.filter(
    (phase) => !seen.some((past) => past.phase === phase.phase && past.track === phase.track),
  );
  // A phase whose usual time has long passed was left out by the programme, or was never there.
  const due = unseen.filter((phase) => phase.start_s > elapsed_s - 30 && phase.start_s > 0);
  const soonest = (track: string): UsualPhase | undefined =>
    due.filter((phase) => phase.track === track).sort((a, b) => a.start_s - b.start_s)[0];
  const vacuum = soonest("vacuum");
  const thermal = soonest("thermal");
  if (vacuum === undefined) return thermal ?? null;
  // Deep in the preheat the liquidus is nearer to what people wait for than an evacuation minutes away.
  return thermal !== undefined && thermal.start_s + 5 < vacuum.start_s && vacuum.start_s - elapsed_s > 90
    ? thermal
    : vacuum;
}

function runningPrompt(view: CellView, texts: Texts): Prompt {
  const words = texts.prompt;
  const run = view.run;
  const carrier = run?.carrier ?? "";
  const open = run?.phases.filter((phase) => phase.end === null).at(-1);
  const next = nextPhase(view.layout.usualPhases, run?.phases ?? [], view.elapsed_s);
  let forecast = "";
  if (next !== null) {
    const what = texts.phaseBegins[next.phase] ?? next.phase;
    const wait = next.start_s - view.elapsed_s;
    forecast =
      wait >= -3 ? words.next(what, write.about(Math.max(1, wait))) : words.overdue(what, write.wholeSpan(-wait));
  } else if (view.layout.usualCycle_s !== null && view.layout.usualCycle_s - view.elapsed_s > 1) {
    forecast = words.next(texts.runEnd, write.about(view.layout.usualCycle_s - view.elapsed_s));
  }
  const bad = view.temperatures.filter((channel) => !channel.good).map((channel) => channel.layout.name);
  const detail = [
    open === undefined ? words.started(carrier) : words.inPhase(carrier, texts.phases[open.phase] ?? open.phase),
    bad.length > 0 ? words.someBad(bad.slice(0, 3).join(", ") + (bad.length > 3 ? " …" : "")) : null,
    view.layout.usualCycle_s === null ? words.noUsual : words.usual(write.runTime(view.layout.usualCycle_s)),
  ].filter((part) => part !== null);
  return {
    key: `calm/${run?.number}/${open?.phase ?? ""}`,
    tone: "calm",
    sentence: `${words.calm} ${forecast}`.trimEnd(),
    detail: detail.join(" "),
    alarm: null,
  };
}

/** Why a finished run is not a pass, from its figures; the engine's own reason where no figure says it. */
export function verdictReason(
  rows: readonly FigureRow[],
  reasons: readonly string[],
  verdict: "fail" | "undetermined",
  name: (row: FigureRow) => string,
  texts: Texts,
): string {
  const row = rows.find(
    (candidate) =>
      candidate.severity === "fail" &&
      (verdict === "fail"
        ? candidate.standing === "outside"
        : candidate.standing === "unknown" || candidate.standing === "undetermined"),
  );
  if (row === undefined) return reasons.at(0) ?? texts.prompt.nothingSaid;
  const value =
    row.value === null
      ? (texts.figures.reasons[row.reason ?? ""] ?? texts.figures.unknown)
      : `${write.figure(row.value, row.unit, row.final)}${write.nbsp}${write.unit(row.unit)}`;
  const limits = [
    row.lower === null ? null : texts.figures.atLeast(write.limit(row.lower)),
    row.upper === null ? null : texts.figures.atMost(write.limit(row.upper)),
  ].filter((part) => part !== null);
  return `${name(row)} ${value}, ${limits.join(", ")} asked`;
}

function finishedPrompt(view: CellView, naming: Naming, texts: Texts): Prompt {
  const words = texts.prompt;
  const run = view.run;
  const verdict = run?.verdict ?? null;
  const name = (row: FigureRow): string => {
    const channel = naming.channel(row.channel);
    const figure = (texts.figures.names[row.figure] ?? row.figure).toLowerCase();
    return channel === null ? figure : `${channel}, ${figure}`;
  };
  let sentence = words.verdict.none;
  let tone: Tone = "calm";
  if (verdict === "pass") sentence = words.verdict.pass(view.figures.filter((row) => row.severity === "fail").length);
  if (verdict === "fail" || verdict === "undetermined") {
    sentence = words.verdict[verdict](verdictReason(view.figures, run?.reasons ?? [], verdict, name, texts));
    tone = verdict === "fail" ? "soon" : "unknown";
  }
  const now = view.channels
    .filter((channel) => channel.layout.role === "vapour" || channel === view.chamber)
    .filter((channel) => channel.value !== null && !channel.stale)
    .map(
      (channel) =>
        `${channel.layout.name} ${channel.layout.unit === "mbar" ? `${write.pressure(channel.value ?? 0)}${write.nbsp}mbar` : `${write.temperature(channel.value ?? 0)}${write.nbsp}°C`}`,
    );
  return {
    key: `finished/${run?.number}`,
    tone,
    sentence,
    detail: [
      run === null ? null : words.ended(run.number, write.clock(run.end ?? run.start)),
      texts.prompt.endReasons[run?.endReason ?? ""] ?? null,
      words.noCarrier,
      now.length > 0 ? `${words.vaporNow}: ${now.join(", ")}.` : null,
    ]
      .filter((part) => part !== null)
      .join(" "),
    alarm: null,
  };
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
}

/**
 * The sentences for the top of the page, most urgent first. Never empty, always true: what is broken now, what is
 * outside, what cannot be known, and only if there is none of these the calm one.
 */
export function prompts(input: PromptInput, texts: Texts): readonly Prompt[] {
  const { view, link, nowMs } = input;
  const lost = linkPrompt(link, nowMs, input.wallMs, texts);
  if (view === null)
    return [
      lost ?? {
        key: "link/opening",
        tone: "unknown",
        sentence: texts.prompt.opening,
        detail: texts.prompt.openingDetail,
        alarm: null,
      },
    ];
  const channel = (id: string | null) => view.layout.channels.find((candidate) => candidate.id === id) ?? null;
  const naming: Naming = {
    channel: (id) => (id === null ? null : (channel(id)?.name ?? id)),
    unit: (id) => channel(id)?.unit ?? "degC",
  };
  const cellMs = view.nowMs ?? nowMs;
  const found: Prompt[] = input.alarms
    // A silent device is said with its name and remedy below.
    .filter((alarm) => alarm.condition !== "deviceSilent" || alarm.state === "returnedUnacknowledged")
    .map((alarm) => alarmPrompt(alarm, cellMs, naming, texts));
  const down = input.devices.filter((device) => device.state === "down" || device.state === "suspect");
  for (const device of down) {
    const oldest = Math.max(0, ...view.channels.filter((c) => c.layout.device === device.id).map((c) => c.ageMs));
    const age = Number.isFinite(oldest) ? oldest : cellMs - device.since;
    if (device.state === "suspect" && age < 1500) continue;
    found.push(
      devicePrompt(device, view.layout.devices.find((d) => d.id === device.id)?.name ?? device.id, age / 1000, texts),
    );
  }
  found.sort((a, b) => toneOrder[a.tone] - toneOrder[b.tone]);
  // What a lost page last heard comes after the fact that it hears nothing.
  if (lost !== null) return [lost, ...found.filter((prompt) => !prompt.key.startsWith("device/"))];
  if (found.length > 0) return found;
  if (link.kind === "live" && view.stale && view.ageMs !== null)
    return [
      {
        key: "stale",
        tone: "unknown",
        sentence: texts.prompt.stale(write.wholeSpan(view.ageMs / 1000)),
        detail: texts.prompt.staleDetail,
        alarm: null,
      },
    ];
  if (view.layout.channels.length === 0)
    return [
      {
        key: "unwired",
        tone: "unknown",
        sentence: texts.prompt.noChannels,
        detail: texts.prompt.noChannelsDetail,
        alarm: null,
      },
    ];
  if (view.mode === "running") return [runningPrompt(view, texts)];
  if (view.mode === "finished") return [finishedPrompt(view, naming, texts)];
  return [
    {
      key: "waiting",
      tone: "calm",
      sentence: texts.prompt.waitingFirst,
      detail: texts.prompt.waitingDetail,
      alarm: null,
    },
  ];
}
