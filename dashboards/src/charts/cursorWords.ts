import { measure } from "../state/inspect";
import { type Trouble, troublesAt, troublesOf } from "../state/marks";
import * as write from "../texts/format";
import type { CursorInput, SpikePoint } from "./frameTypes";
import type { SceneInput } from "./scene";

/** Single readings far from their neighbours, where they are drawn. */
export function spikesOf({ view, axis, drawn, geometry, marks }: SceneInput): SpikePoint[] {
  if (view.mode === "waiting") return [];
  const chamber = geometry.pressure === null ? null : view.chamber;
  return marks.flatMap(({ kind, channel, t, value }) => {
    const at_s = (t - view.originMs) / 1000;
    const isPressure = chamber?.index === channel;
    const owner = isPressure ? chamber : drawn.find((one) => one.index === channel);
    return kind !== "spike" || owner == null || at_s < axis.min || at_s > Math.min(axis.max, view.elapsed_s)
      ? []
      : [{ at_s, value, isPressure, name: owner.layout.name }];
  });
}

/** What is wrong where the cursor stands, in words; of many only how many. */
function troubleWords(input: SceneInput, cursor_s: number): string[] {
  const { view, geometry, axis, marks, texts } = input;
  // As wide as the cross that is drawn.
  const beside_s = ((axis.max - axis.min) / Math.max(1, geometry.plot.width)) * 6;
  const found = troublesAt(troublesOf(view, marks), cursor_s, beside_s);
  const word = ({ kind, name }: Trouble): string =>
    kind === "spike" ? texts.chart.spikeShort(name) : texts.chart.detachedShort(name);
  return found.length > 2 ? [texts.chart.troubles(found.length)] : found.map(word);
}

/** What the cursor says, and what it measures. */
export function cursorOf(input: SceneInput): CursorInput | null {
  const { view, inspect, leading, valueAt, texts } = input;
  const { cursor_s, mark_s } = inspect;
  if (cursor_s === null || view.mode === "waiting") return null;
  const time = texts.chart.cursor(write.runTime(cursor_s));
  if (mark_s === null) return { at_s: cursor_s, mark_s, words: [time, ...troubleWords(input, cursor_s)], ends: null };
  const value = (at_s: number): number | null => (leading === null ? null : valueAt(leading, at_s));
  const found = measure(mark_s, cursor_s, value(mark_s), value(cursor_s));
  const parts = [
    `${write.fixed(found.span_s, 1)}${write.nbsp}s`,
    found.difference === null ? null : write.withUnit(write.figure(found.difference, "K", true), "K"),
    found.slope === null ? null : write.withUnit(write.figure(found.slope, "K/s", true), "K/s"),
    leading?.layout.name ?? null,
  ];
  const [from, to] = [value(mark_s), value(cursor_s)];
  return {
    at_s: cursor_s,
    mark_s,
    words: parts.filter((part) => part !== null),
    ends: from === null || to === null ? null : [from, to],
  };
}
