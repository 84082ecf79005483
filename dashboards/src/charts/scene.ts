import type { Annotation } from "../state/annotations";
import type { EnvelopeData } from "../state/envelope";
import type { Inspect } from "../state/inspect";
import type { Mark } from "../state/traces";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { cursorOf, spikesOf } from "./cursorWords";
import type { FrameInput, HatchPiece } from "./frameTypes";
import { endedGate, type Gate, gateOf } from "./gate";
import {
  closeRange,
  type Place,
  pressureRange,
  type Range,
  type SheetGeometry,
  sheetGeometry,
  temperatureRange,
  xOf,
  yOf,
} from "./geometry";
import { gapHatches } from "./hatches";
import { labelWidth } from "./labelRows";
import { type Lens, planLens } from "./lens";
import { extent, firstReached, lastPoint } from "./readings";
import { ribbonPieces } from "./ribbon";

/** Quiet channels first, so that the product is drawn above them. */
export const drawOrder = (view: CellView): readonly ChannelView[] =>
  [...view.temperatures].sort((a, b) => Math.min(a.style, 1) - Math.min(b.style, 1) || a.index - b.index);

export interface Axes {
  readonly geometry: SheetGeometry;
  readonly axis: Range;
}

/** Where the strips lie and which seconds they span. */
export function planAxes(view: CellView, place: Place, width: number, height: number, inspect: Inspect): Axes {
  const geometry = sheetGeometry(Math.round(width), Math.round(height), place, view.beside !== null);
  if (inspect.window !== null) return { geometry, axis: { min: inspect.window.from_s, max: inspect.window.to_s } };
  // A finished run does not grow any more: its labels stand beside its end.
  const beside = place === "desk" || place === "touch";
  const room = beside ? (labelWidth(view, place) + 40) / geometry.plot.width : 0;
  const part = Math.max(0.4, 1 - room);
  if (view.mode === "finished") return { geometry, axis: { min: 0, max: view.length_s / part } };
  // Late in a run the axis grows in steps, so that the labels keep standing ahead of the curves, never on them.
  const needed = Math.ceil(view.elapsed_s / part / 15) * 15;
  return { geometry, axis: { min: 0, max: view.mode === "running" ? Math.max(view.length_s, needed) : view.length_s } };
}

/** What the picture remembers from one layout to the next. */
export interface SceneMemory {
  readonly gate: Gate | null;
  readonly lens: Lens | null;
}

export interface SceneInput extends Axes {
  readonly view: CellView;
  readonly place: Place;
  /** Curves drawn, and the channels that they belong to, in one order. */
  readonly data: EnvelopeData;
  readonly drawn: readonly ChannelView[];
  readonly pressureData: EnvelopeData | null;
  readonly lost: boolean;
  /** Marked readings, of any channel. */
  readonly marks: readonly Mark[];
  /** Time for which the engine's figures are true, ms. */
  readonly stateMs: number | null;
  readonly memory: SceneMemory;
  readonly inspect: Inspect;
  readonly dragged: readonly [number, number] | null;
  readonly annotations: readonly Annotation[];
  /** Channel that a measurement speaks of, and its value at a moment of the run. */
  readonly leading: ChannelView | null;
  readonly valueAt: (channel: ChannelView, at_s: number) => number | null;
  readonly texts: Texts;
}

export interface Scene extends SceneMemory {
  readonly temperatures: Range;
  readonly pressures: Range;
  readonly frame: FrameInput;
}

const allOf = (drawn: readonly ChannelView[]): number[] => drawn.map((_, i) => i);

const everything: readonly [number, number] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];

/** Least or greatest limit that a spec sets on a figure; null if none. */
function limitOf(view: CellView, figure: string, side: "lower" | "upper"): number | null {
  const found = (view.layout.spec?.limits ?? [])
    .filter((limit) => limit.figure === figure)
    .map((limit) => limit[side])
    .filter((value) => value !== null);
  if (found.length === 0) return null;
  return side === "upper" ? Math.min(...found) : Math.max(...found);
}

function lensOf(input: SceneInput, temperatures: Range, gate: Gate | null, peakLimit: number | null): Lens | null {
  const { view, place, geometry, axis, data, drawn } = input;
  const { spec } = view.layout;
  if (
    place === "phone" ||
    place === "touch" ||
    spec === null ||
    view.mode !== "running" ||
    input.inspect.window !== null
  )
    return null;
  const product = drawn.flatMap((channel, i) => (channel.style > 0 ? [i] : []));
  const from_s = firstReached(data, product, spec.liquidus - 6);
  const since =
    from_s === null
      ? null
      : extent(
          data,
          drawn.map((_, i) => i),
          from_s,
          Number.POSITIVE_INFINITY,
        );
  // It ends after the gate and leaves room for labels beside it, but not before now.
  const secondsOf = (px: number): number => (px / geometry.plot.width) * (axis.max - axis.min);
  const labelsFit = axis.max - secondsOf(labelWidth(view, place) + 12);
  const wanted = Math.min(Math.max(view.elapsed_s + 12, (gate?.to_s ?? 0) + 8), labelsFit);
  return planLens({
    plot: geometry.plot,
    axis,
    temperatures,
    liquidus: spec.liquidus,
    values: view.temperatures
      .filter((channel) => channel.style > 0 && !channel.stale && channel.value !== null)
      .map((channel) => channel.value as number),
    peakLimit,
    from_s,
    // Rounded up, so that its edge does not crawl along with now.
    until_s: Math.max(Math.min(Math.ceil(wanted / 10) * 10, labelsFit), view.elapsed_s + 2),
    least: since?.least ?? spec.liquidus,
    greatest: since?.greatest ?? spec.liquidus,
    shown: input.memory.lens !== null,
  });
}

function gateIn(input: SceneInput): Gate | null {
  const { view, data, drawn, stateMs } = input;
  const { spec } = view.layout;
  const { run } = view;
  if (spec === null || run === null) return null;
  const above = run.phases.filter((phase) => phase.phase === "reflow");
  const fallen = above.length > 0 && above.every((phase) => phase.end !== null);
  if (view.mode === "running" && !fallen)
    return stateMs === null ? null : gateOf(run, spec, (stateMs - view.originMs) / 1000, input.memory.gate);
  // Once the curves have fallen the gate stays where it was, though their figures may not be final yet.
  if (view.mode === "running" && input.memory.gate !== null) return input.memory.gate;
  const level = spec.limits.find((limit) => limit.figure === "timeAboveLiquidus")?.level ?? spec.liquidus;
  const crossings = drawn.flatMap((channel, i) => (channel.style === 0 ? [] : (firstReached(data, [i], level) ?? [])));
  return endedGate(spec, crossings);
}

function hatchesOf(input: SceneInput, temperatures: Range): HatchPiece[] {
  const { view, geometry, data, drawn, lost } = input;
  if (view.mode === "waiting") return [];
  const gaps = view.run?.gaps ?? [];
  const silentSince = (channel: ChannelView): number | null =>
    !lost && view.mode === "running" && channel.stale && Number.isFinite(channel.ageMs)
      ? view.elapsed_s - channel.ageMs / 1000
      : null;
  const strip = drawn.map((channel, i) => ({
    id: channel.layout.id,
    detached: input.texts.chart.detached(channel.layout.name),
    silentSince_s: silentSince(channel),
    heightAt: (before_s: number) => {
      const point = lastPoint(data, i, before_s);
      return point === null ? null : yOf(geometry.plot, temperatures, point.y);
    },
  }));
  const pieces = gapHatches(strip, gaps, view.originMs, view.elapsed_s, geometry.plot);
  if (view.chamber === null || geometry.pressure === null) return pieces;
  const chamber = {
    id: view.chamber.layout.id,
    detached: "",
    silentSince_s: silentSince(view.chamber),
    heightAt: () => null,
  };
  return [...pieces, ...gapHatches([chamber], gaps, view.originMs, view.elapsed_s, geometry.pressure)];
}

function nowOf(view: CellView, lost: boolean, held: boolean, words: Texts["chart"]): FrameInput["now"] {
  const time = write.runTime(view.elapsed_s);
  if (view.mode === "waiting") return { at_s: 0, kind: "waiting", text: words.nowWaiting };
  if (view.mode === "finished") return { at_s: view.elapsed_s, kind: "ended", text: words.ended(time) };
  if (held) return { at_s: view.elapsed_s, kind: "ended", text: words.held(time) };
  return lost
    ? { at_s: view.elapsed_s, kind: "torn", text: words.lastHeard(time) }
    : { at_s: view.elapsed_s, kind: "now", text: words.now(time) };
}

/** What another carrier's run does meanwhile, on the time axis of this one. */
const besideOf = ({ beside, originMs, elapsed_s }: CellView): FrameInput["beside"] =>
  beside === null
    ? null
    : { carrier: beside.carrier, pieces: ribbonPieces("thermal", beside.phases, [], originMs, elapsed_s, true) };

/** Where this run reached liquidus, s; null before. */
function reflowOf(view: CellView): number | null {
  const found = view.run?.phases.find((phase) => phase.phase === "reflow");
  return found === undefined ? null : (found.start - view.originMs) / 1000;
}

/** Decides everything that stands around the curves of a view. */
export function planScene(input: SceneInput): Scene {
  const { view, place, geometry, axis, data, drawn, pressureData, lost, texts } = input;
  const { spec, usualPhases } = view.layout;
  const measured = view.temperatures.some((channel) => channel.style > 0);
  const production = view.run !== null && view.run.kind === "production";
  const boards = measured && !production;
  const peakLimit = boards ? limitOf(view, "peakTemperature", "upper") : null;
  const whole = extent(
    data,
    drawn.map((_, i) => i),
    ...everything,
  );
  const close = input.inspect.window === null ? null : extent(data, allOf(drawn), axis.min, axis.max);
  const temperatures =
    close !== null
      ? closeRange(close.least, close.greatest)
      : temperatureRange(whole?.least ?? 25, whole?.greatest ?? 25, Math.max(240, peakLimit ?? 0, spec?.liquidus ?? 0));
  const lowest = pressureData === null ? null : extent(pressureData, [0], ...everything);
  const pressures = pressureRange(lowest?.least ?? spec?.vacuumTarget ?? 1, spec?.vacuumTarget ?? null);
  const gate = gateIn(input);
  const lens = lensOf(input, temperatures, gate, peakLimit);
  const pieces = (track: "thermal" | "vacuum") =>
    ribbonPieces(track, view.run?.phases ?? [], usualPhases, view.originMs, view.elapsed_s, view.mode !== "finished");
  return {
    temperatures,
    pressures,
    gate,
    lens,
    frame: {
      geometry,
      place,
      axis,
      temperatures,
      pressures,
      spec,
      peakLimit,
      gate,
      lens,
      texts,
      boards,
      carrier: view.run?.carrier ?? null,
      lowPeakLimit: boards ? limitOf(view, "sustainedPeak", "lower") : null,
      // Where it began in this run, else where it usually does: before that no curve is near a peak limit.
      reflowFrom_s: reflowOf(view) ?? usualPhases.find((phase) => phase.phase === "reflow")?.start_s ?? null,
      rightTaken:
        xOf(geometry.plot, axis, view.elapsed_s) + 28 + labelWidth(view, place) >
        geometry.plot.left + geometry.plot.width - 130,
      hasVacuum: view.chamber !== null,
      learning: view.mode === "waiting" && usualPhases.length === 0,
      dragged: input.dragged,
      cursor: cursorOf(input),
      labelledUntil_s: view.mode === "finished" ? view.length_s : axis.max,
      thermal: pieces("thermal"),
      beside: besideOf(view),
      vacuum: pieces("vacuum"),
      hatches: hatchesOf(input, temperatures),
      spikes: spikesOf(input),
      annotations: input.annotations.filter(({ at_s }) => at_s >= axis.min && at_s <= axis.max),
      now: nowOf(view, lost, input.inspect.frozen_s !== null, texts.chart),
    },
  };
}

/** Where now stands, px. */
export const nowX = (axes: Axes, view: CellView): number => xOf(axes.geometry.plot, axes.axis, view.elapsed_s);
