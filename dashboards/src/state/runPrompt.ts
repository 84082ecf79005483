import type { RunLive } from "../feed/contract";
import type { UsualPhase } from "../feed/layoutContract";
import type { Comparison } from "../feed/papers";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Asked } from "./asked";
import type { FigureRow } from "./figureRows";
import { likenessOf } from "./likeness";
import { type Naming, type Prompt, prompt, type Tone } from "./promptTypes";
import type { CellView, ChannelView } from "./view";

/**
 * The next phase that usually comes and has not: what a calm sentence speaks of.
 * Vacuum steps come before thermal ones, unless the evacuation is still minutes away.
 */
export function nextPhase(
  usual: readonly UsualPhase[],
  seen: readonly { readonly phase: string; readonly track: string }[],
  elapsed_s: number,
): UsualPhase | null {
  const unseen = usual.filter(
    (phase) => !seen.some((past) => past.phase === phase.phase && past.track === phase.track),
  );
  // A phase whose usual time has long passed was left out by the programme, or was never there.
  const due = unseen.filter((phase) => phase.start_s > 0 && phase.start_s > elapsed_s - 30);
  const soonest = (track: string): UsualPhase | undefined =>
    due.filter((phase) => phase.track === track).sort((a, b) => a.start_s - b.start_s)[0];
  const vacuum = soonest("vacuum");
  const thermal = soonest("thermal");
  if (vacuum === undefined) return thermal ?? null;
  return thermal !== undefined && thermal.start_s + 5 < vacuum.start_s && vacuum.start_s - elapsed_s > 90
    ? thermal
    : vacuum;
}

function nextWords(view: CellView, texts: Texts): string {
  const words = texts.prompt;
  const next = nextPhase(view.layout.usualPhases, view.run?.phases ?? [], view.elapsed_s);
  if (next !== null) {
    const what = texts.phaseBegins[next.phase] ?? next.phase;
    const wait = next.start_s - view.elapsed_s;
    // A few seconds late are not worth a word; the sentence must not flicker around the usual moment either.
    return wait >= -3 ? words.next(what, write.about(Math.max(1, wait))) : words.overdue(what, write.wholeSpan(-wait));
  }
  const left = (view.layout.usualCycle_s ?? 0) - view.elapsed_s;
  return left > 1 ? words.next(texts.runEnd, write.about(left)) : "";
}

/** The sentence of a run that asks for nothing. */
export function runningPrompt(view: CellView, texts: Texts): Prompt {
  const words = texts.prompt;
  const carrier = view.run?.carrier ?? "";
  const open = view.run?.phases.filter((phase) => phase.end === null).at(-1);
  const bad = view.temperatures.filter((channel) => !channel.good).map((channel) => channel.layout.name);
  const { usualCycle_s } = view.layout;
  const detail = [
    open === undefined ? words.started(carrier) : words.inPhase(carrier, texts.phaseNames[open.phase] ?? open.phase),
    bad.length > 0 ? words.someBad(bad.slice(0, 3).join(", ") + (bad.length > 3 ? " …" : "")) : null,
    usualCycle_s === null ? words.noUsual : words.usual(write.runTime(view.elapsed_s), write.runTime(usualCycle_s)),
  ].filter((part) => part !== null);
  return prompt(
    `calm/${view.run?.number}/${open?.phase ?? ""}`,
    "calm",
    `${words.calm} ${nextWords(view, texts)}`.trimEnd(),
    detail.join(" "),
  );
}

/** A run's note in words. */
export function noteWords(note: string, naming: Naming, texts: Texts): string {
  const [name, id] = note.split("/");
  return id === undefined ? (texts.run.noteNames[note] ?? note) : texts.figures.cameOff(naming.channel(id) ?? name);
}

/** Why a figure is not known, where a thermocouple that came off says more than the figure's own reason. */
function offReason(row: FigureRow, notes: readonly string[], naming: Naming, texts: Texts): string | undefined {
  const off = notes.find(
    (note) => note === `detached/${row.channel}` || (row.channel === null && note.startsWith("detached/")),
  );
  return row.reason === "badQuality" && off !== undefined ? noteWords(off, naming, texts) : undefined;
}

/** Why a finished run is not a pass, from its figures; the engine's own reason where no figure says it. */
export function verdictReason(
  rows: readonly FigureRow[],
  run: { readonly reasons: readonly string[]; readonly notes: readonly string[] },
  verdict: "fail" | "undetermined",
  naming: Naming,
  texts: Texts,
): string {
  const matches = (row: FigureRow): boolean =>
    verdict === "fail" ? row.standing === "outside" : row.standing === "unknown" || row.standing === "undetermined";
  const row = rows.find((candidate) => candidate.severity === "fail" && matches(candidate));
  if (row === undefined)
    return texts.runReasons[run.reasons.at(0) ?? ""] ?? run.reasons.at(0) ?? texts.prompt.nothingSaid;
  const words = texts.figures;
  const name = texts.lower(words.names[row.figure] ?? row.figure);
  const channel = naming.channel(row.channel);
  const who = channel === null ? name : `${channel}, ${name}`;
  const limits = [
    row.lower === null ? null : words.atLeast(write.limit(row.lower, row.unit)),
    row.upper === null ? null : words.atMost(write.limit(row.upper, row.unit)),
  ].filter((part) => part !== null);
  const written = (value: number): string => write.withUnit(write.figure(value, row.unit, row.final), row.unit);
  if (row.value !== null) return words.asked(who, written(row.value), limits.join(", "));
  const why = offReason(row, run.notes, naming, texts) ?? words.reasons[row.reason ?? ""] ?? words.unknown;
  if (row.low === null && row.high === null) return words.untold(who, why);
  const bounds =
    row.low === null
      ? words.atMost(written(row.high ?? 0))
      : row.high === null
        ? words.atLeast(written(row.low))
        : words.between(write.figure(row.low, row.unit, row.final), written(row.high));
  return words.bounded(who, bounds, why, limits.join(", "));
}

const newest = (channel: ChannelView, texts: Texts): string => {
  const value = channel.value ?? Number.NaN;
  const { unit } = channel.layout;
  return `${texts.lower(channel.layout.name)} ${write.withUnit(write.figure(value, unit, true), unit)}`;
};

/** A run in which no board was measured: it is compared, never judged. */
export const isProduction = (run: Pick<RunLive, "kind" | "verdict">): boolean =>
  run.kind === "production" && run.verdict === null;

/** The sentence while nothing runs: the last run's verdict. */
export function finishedPrompt(
  view: CellView,
  naming: Naming,
  texts: Texts,
  comparison: Asked<Comparison> | null,
): Prompt {
  const words = texts.prompt;
  const { run } = view;
  let sentence = words.verdict.none;
  let tone: Tone = "calm";
  if (run?.verdict === "pass")
    sentence = words.verdict.pass(view.figures.filter((row) => row.severity === "fail").length);
  if (run?.verdict === "fail" || run?.verdict === "undetermined") {
    sentence = words.verdict[run.verdict](verdictReason(view.figures, run, run.verdict, naming, texts));
    tone = run.verdict === "fail" ? "soon" : "unknown";
  }
  const like = run !== null && isProduction(run) ? likenessOf(run.carrier, comparison, texts) : null;
  if (like !== null) ({ sentence, tone } = like);
  const now = view.channels
    .filter((channel) => channel.layout.role === "vapour" || channel === view.chamber)
    .filter((channel) => channel.value !== null && !channel.stale)
    .map((channel) => newest(channel, texts));
  const detail = [
    ...(like?.detail ?? []),
    run === null ? null : words.ended(run.number, write.clock(run.end ?? run.start)),
    words.endReasons[run?.endReason ?? ""] ?? null,
    now.length > 0 ? words.now(now.join(", ")) : null,
  ].filter((part) => part !== null);
  return prompt(`finished/${run?.number}`, tone, sentence, detail.join(" "));
}
