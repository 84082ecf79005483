import type { EnvelopeData } from "../state/envelope";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { type Box, type Place, type Range, type SheetGeometry, xOf, yOf, yOfPressure } from "./geometry";
import type { CurveLabel } from "./labelLayer";
import { planLabels } from "./labelPlan";
import type { Lens } from "./lens";
import { extent, lastPoint } from "./readings";

export interface LabelRowsInput {
  readonly view: CellView;
  readonly place: Place;
  readonly geometry: SheetGeometry;
  readonly axis: Range;
  readonly temperatures: Range;
  readonly pressures: Range;
  readonly lens: Lens | null;
  /** Drawn curves and the channels that they belong to, in one order. */
  readonly data: EnvelopeData;
  readonly drawn: readonly ChannelView[];
  /** Channel that stands out: the one chosen, else the one that decides. */
  readonly leading: string | null;
  readonly chosen: string | null;
  /** Channels that an alarm names. */
  readonly alarmed: ReadonlySet<string>;
  readonly lost: boolean;
  /** Where the cursor stands: labels then say what was read there; null: at the curves' ends. */
  readonly cursor_s: number | null;
  readonly texts: Texts;
  readonly valueAt: (channel: ChannelView, at_s: number) => number | null;
}

interface Entry {
  readonly channel: ChannelView;
  readonly x: number;
  readonly y: number;
}

/** Room for the longest name and its value, px. */
export function labelWidth(view: CellView, place: Place, alarmed = false): number {
  const longest = Math.max(8, ...view.temperatures.map((channel) => channel.layout.name.length));
  const age = view.mode === "running" && view.temperatures.some((channel) => channel.stale) ? 66 : 0;
  const brackets = view.run?.gaps.some((gap) => gap.reason === "detached") === true ? 14 : 0;
  return Math.round(
    Math.min(26, longest) * (place === "touch" ? 8.8 : 7.6) +
      34 +
      (place === "touch" ? 56 : 48) +
      age +
      brackets +
      (alarmed ? 18 : 0),
  );
}

/** Whether a channel had come off its joint by the moment that the labels speak of. */
function isDetached(channel: ChannelView, { view, cursor_s }: LabelRowsInput): boolean {
  const atMs = view.originMs + (cursor_s ?? view.elapsed_s) * 1000;
  return (view.run?.gaps ?? []).some(
    (gap) => gap.reason === "detached" && gap.channel === channel.layout.id && gap.start < atMs,
  );
}

function valueText(channel: ChannelView, y: number, input: LabelRowsInput): string {
  const written = (value: number): string =>
    channel.layout.unit === "mbar" ? write.withUnit(write.pressure(value), "mbar") : write.temperature(value);
  // A smoothed number says so; where the cursor stands, and once the run has ended, what was read is written.
  const smooth = input.cursor_s === null && input.view.mode === "running" && !channel.stale ? channel.smooth : null;
  const number = smooth === null ? written(y) : `~${written(smooth.value)}`;
  // What is not judged stands in brackets.
  if (isDetached(channel, input)) return `(${number})`;
  // An old number never stands without its age.
  return input.cursor_s === null && input.view.mode === "running" && (channel.stale || input.lost)
    ? `${number} · ${write.wholeSpan(channel.ageMs / 1000)}`
    : number;
}

function common(channel: ChannelView, y: number, width: number, input: LabelRowsInput) {
  const { id } = channel.layout;
  return {
    id,
    name: channel.layout.name,
    value: valueText(channel, y, input),
    title: isDetached(channel, input)
      ? input.texts.chart.detached(channel.layout.name)
      : channel.smooth === null
        ? ""
        : input.texts.chart.smooth[channel.smooth.filter],
    ink: channel.style > 0 ? `ink-${channel.style}` : `ink-${channel.layout.role}`,
    strong: id === input.leading,
    old: (input.cursor_s === null && (channel.stale || input.lost)) || isDetached(channel, input),
    alarmed: input.alarmed.has(id),
    chosen: id === input.chosen,
    width,
  };
}

/** Least and usual distance of two rows, px: closer, letters of the small size would touch. */
const rows = { desk: { least: 16, usual: 20 }, touch: { least: 18, usual: 22 } };
const rowPx = rows.desk;

/** Where the labels of a box may stand: beside it, and above it where it is lower than they are. Never below the strip. */
function areaOf(count: number, box: Box, limits: Box, touch: boolean): { readonly area: Box; readonly gap: number } {
  const bottom = limits.top + limits.height;
  const { least, usual } = touch ? rows.touch : rows.desk;
  const gap = Math.min(usual, Math.max(least, limits.height / count));
  const top = Math.max(limits.top, Math.min(box.top, bottom - count * gap));
  return { gap, area: { left: limits.left, width: limits.width, top, height: bottom - top } };
}

/**
 * Labels of curves that end in one box: the strip, or the lens over it.
 * @param limits what they must not leave
 */
function columnOf(
  entries: readonly Entry[],
  box: Box,
  range: Range,
  startX: number,
  width: number,
  limits: Box,
  input: LabelRowsInput,
): CurveLabel[] {
  if (entries.length === 0) return [];
  const { geometry, axis, place, data, drawn } = input;
  const touch = place === "touch";
  const { area, gap } = areaOf(entries.length, box, limits, touch);
  const seconds = (px: number): number =>
    axis.min + ((px - geometry.plot.left) / geometry.plot.width) * (axis.max - axis.min);
  const plan = planLabels({
    x: startX,
    ends: entries.map((entry) => yOf(box, range, entry.y)),
    width,
    gap,
    columns: entries.length * gap > area.height + gap ? [2, 1] : touch ? [1, 2] : [1],
    area,
    leader: touch ? 12 : 28,
    taken: (from, to) => {
      const found = extent(
        data,
        drawn.map((_, i) => i),
        seconds(from),
        seconds(to),
      );
      return found === null ? null : { top: yOf(box, range, found.greatest), bottom: yOf(box, range, found.least) };
    },
  });
  const inColumn = Math.ceil(entries.length / plan.columns);
  return entries.map((entry, i) => ({
    ...common(entry.channel, entry.y, width, input),
    left: plan.left + (plan.columns === 1 ? 0 : Math.floor(i / inColumn) * width),
    top: plan.heights[i],
    height: Math.min(rowPx.usual, gap),
    leftward: plan.side === "left",
    // On the panel rows stand too far from their ends for hairlines to help.
    from: touch ? null : { x: xOf(geometry.plot, axis, entry.x), y: yOf(box, range, entry.y) },
  }));
}

function chamberLabel(end: number, at_s: number, narrow: number, input: LabelRowsInput): CurveLabel[] {
  const { view, geometry, pressures } = input;
  const { chamber } = view;
  if (chamber === null || geometry.pressure === null) return [];
  const y = input.cursor_s !== null || at_s < view.elapsed_s ? input.valueAt(chamber, at_s) : chamber.shown;
  if (y === null || y <= 0) return [];
  const box = geometry.pressure;
  // Its value carries its unit, so it is wider than those above.
  const text = valueText(chamber, y, input);
  const width = Math.max(
    narrow,
    Math.round((chamber.layout.name.length + text.length + 1) * (input.place === "touch" ? 9.8 : 8.6) + 46),
  );
  const rightward = end + 12 + width < box.left + box.width + 20;
  const height = yOfPressure(box, pressures, y);
  return [
    {
      ...common(chamber, y, width, input),
      left: rightward ? end + 12 : end - 12 - width,
      // Behind now the strip is full of curve; the row above it is always free.
      top: rightward ? Math.min(Math.max(height, box.top + 10), box.top + box.height - 10) : box.top - 13,
      height: rowPx.usual,
      from: null,
      leftward: !rightward,
    },
  ];
}

/**
 * Of more channels than there are rows: the one that stands out, those in trouble, those that are no boards, and of the
 * boards the hottest and the coolest. The others lie between; the table and the arrow keys have them.
 */
function essential(entries: readonly Entry[], most: number, input: LabelRowsInput): readonly Entry[] {
  if (entries.length <= most) return entries;
  const kept = new Set(
    entries.filter(
      ({ channel }) =>
        channel.style === 0 ||
        channel.layout.id === input.leading ||
        input.alarmed.has(channel.layout.id) ||
        (channel.stale && input.cursor_s === null),
    ),
  );
  const byHeat = entries.filter((entry) => !kept.has(entry)).toSorted((a, b) => b.y - a.y);
  for (let i = 0; kept.size < most && i < byHeat.length; i++)
    kept.add(i % 2 === 0 ? byHeat[i / 2] : byHeat[byHeat.length - (i + 1) / 2]);
  return entries.filter((entry) => kept.has(entry));
}

/** All labels of the sheet with their places. */
export function labelRows(input: LabelRowsInput): CurveLabel[] {
  const { view, geometry, axis, lens, data, drawn, place } = input;
  const width = labelWidth(view, place, input.alarmed.size > 0);
  const at_s = input.cursor_s ?? Math.min(view.elapsed_s, axis.max);
  const end = xOf(geometry.plot, axis, at_s);
  const entries = view.temperatures.flatMap((channel): Entry[] => {
    if (view.mode === "waiting") return channel.value === null ? [] : [{ channel, x: 0, y: channel.value }];
    if (input.cursor_s !== null || at_s < view.elapsed_s) {
      const value = input.valueAt(channel, at_s);
      return value === null ? [] : [{ channel, x: at_s, y: value }];
    }
    const point = lastPoint(data, drawn.indexOf(channel), at_s);
    // The curve's last point is an extreme of its column; the label says what was read.
    return point === null || channel.shown === null ? [] : [{ channel, x: point.x, y: channel.shown }];
  });
  const magnified = (entry: Entry): boolean =>
    lens !== null && entry.y > lens.y.min && entry.y < lens.y.max && entry.channel.layout.role !== "transport";
  const { plot } = geometry;
  const inLens =
    lens === null
      ? []
      : columnOf(entries.filter(magnified), lens.box, lens.y, lens.box.left + lens.box.width - 14, width, plot, input);
  // What ends outside the lens stands above the labels of those in it.
  const above = Math.min(plot.top + plot.height, ...inLens.map((label) => label.top - rowPx.usual / 2));
  const outside = entries.filter((entry) => !magnified(entry));
  // On a panel there is room for one column: of more channels those are named that somebody must see.
  const most = Math.max(4, Math.floor(plot.height / rows.touch.least));
  const named = place === "touch" ? essential(outside, most, input) : outside;
  return [
    ...inLens,
    ...columnOf(
      named,
      plot,
      input.temperatures,
      end,
      width,
      { ...plot, height: Math.max(rowPx.usual, above - plot.top) },
      input,
    ),
    ...chamberLabel(end, at_s, width, input),
  ];
}
