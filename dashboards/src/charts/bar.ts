import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { FigureRow } from "../state/figureRows";
import { barScale } from "../state/windowBar";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";

export interface BarContext {
  readonly texts: Texts;
  readonly liquidus: number;
  readonly channelName: (id: string) => string;
  readonly soak: { readonly from: number; readonly to: number } | null;
  readonly target: number | null;
  readonly width: number;
  /** Usual width of a letter of the small size, px. */
  readonly letter: number;
}

/** Name of a figure with the level that makes it unambiguous: "Soak 150–180", "Pump-down to 5 mbar". */
export function figureName(row: FigureRow, context: Pick<BarContext, "texts" | "soak" | "target">): string {
  const name = context.texts.figures.names[row.figure] ?? row.figure;
  if (row.figure === "soakTime" && context.soak !== null)
    return `${name} ${write.limit(context.soak.from, "degC")}–${write.limit(context.soak.to, "degC")}`;
  if (row.figure === "pumpDownTime" && context.target !== null)
    return context.texts.figures.downTo(name, write.withUnit(write.limit(context.target, "mbar"), "mbar"));
  return name;
}

const withUnit = (text: string, unit: string): string => (unit === "" ? text : `${text}${write.nbsp}${unit}`);

/** What stands at the right of a figure's name: its value, its bounds, or why there is none. */
export function valueText(row: FigureRow, texts: Texts): { readonly value: string; readonly unit: string } {
  const unit = write.unit(row.unit);
  if (row.value !== null) return { value: write.figure(row.value, row.unit, row.final), unit };
  const words = texts.figures;
  if (row.low !== null && row.high !== null)
    return {
      value: words.between(write.figure(row.low, row.unit, true), write.figure(row.high, row.unit, true)),
      unit,
    };
  if (row.low !== null) return { value: words.atLeast(write.figure(row.low, row.unit, true)), unit };
  if (row.high !== null) return { value: words.atMost(write.figure(row.high, row.unit, true)), unit };
  if (row.standing === "notYet") return { value: words.notYet, unit: "" };
  return { value: words.reasons[row.reason ?? ""] ?? words.unknown, unit: "" };
}

/** How sure a final value is; nothing where that is not known. */
export const uncertaintyText = (row: FigureRow): string =>
  row.value === null || row.U === null || !row.final
    ? ""
    : ` ± ${write.figure(row.U, row.unit === "degC" ? "K" : row.unit, true)}`;

/** The distance to the nearer limit in words. */
export function distanceText(row: FigureRow, texts: Texts): string {
  const words = texts.figures;
  const { value, lower, upper } = row;
  if (row.standing === "undetermined" || row.standing === "unknown")
    return [words.undetermined, words.reasons[row.reason ?? ""]].filter((part) => part !== undefined).join(": ");
  if (value === null) return "";
  const distance = (d: number): string =>
    withUnit(
      write.figure(Math.abs(d), row.unit === "degC" ? "K" : row.unit, row.final),
      write.differenceUnit(row.unit),
    );
  if (upper !== null && value > upper) return words.over(distance(value - upper));
  if (lower !== null && value < lower)
    return row.final ? words.under(distance(lower - value)) : words.toGo(distance(lower - value));
  const toUpper = upper === null ? Number.POSITIVE_INFINITY : upper - value;
  const toLower = lower === null ? Number.POSITIVE_INFINITY : value - lower;
  if (!row.final && upper !== null) return words.left(distance(toUpper));
  return words.inside(distance(Math.min(toUpper, toLower)));
}

const mark = (row: FigureRow): TemplateResult | typeof nothing =>
  row.standing === "outside"
    ? html`<svg class="mark soon" width="14" height="12" viewBox="0 0 14 12" aria-hidden="true"><path d="M7 0L14 12H0Z"></path></svg>`
    : row.standing === "unknown" || row.standing === "undetermined"
      ? html`<svg class="mark" width="12" height="12" aria-hidden="true"><rect class="unknown" x=".5" y=".5" width="11" height="11" fill="url(#bar-hatch)"></rect></svg>`
      : nothing;

/** One window bar: allowed window as a band, value as a tick, the nearer limit's distance in words. */
export function windowBar(row: FigureRow, context: BarContext): TemplateResult {
  const { texts, width } = context;
  const scale = barScale(
    row.lower,
    row.upper,
    row.unit === "degC" ? Math.min(context.liquidus, row.upper ?? context.liquidus) : 0,
  );
  const shown = valueText(row, texts);
  const x = (part: number): number => Math.min(Math.max(part, 0), 1) * width;
  const at = row.value === null ? null : scale.at(row.value);
  const beyond = at === null ? 0 : at < 0 ? -1 : at > 1 ? 1 : 0;
  const tick = at === null ? null : Math.min(Math.max(x(at), beyond < 0 ? 11 : 2.5), width - (beyond > 0 ? 11 : 2.5));
  const soft =
    row.value === null || row.U === null || !row.final
      ? null
      : { from: x(scale.at(row.value - row.U)), to: x(scale.at(row.value + row.U)) };
  const lowerX = row.lower === null ? null : x(scale.bandFrom);
  const upperX = row.upper === null || row.upper === row.lower ? null : x(scale.bandTo);
  const room = {
    from: lowerX === null ? 0 : lowerX + (write.limit(row.lower ?? 0, row.unit).length * context.letter) / 1.5 + 6,
    to: upperX === null ? width : upperX - (write.limit(row.upper ?? 0, row.unit).length * context.letter) / 1.5 - 6,
  };
  // Why nothing is known stands beside the name already: where both do not fit, the verdict alone stays.
  const whole = distanceText(row, texts);
  const widthOf = (text: string): number => text.length * context.letter * (row.standing === "outside" ? 1.1 : 1);
  // Words never lie over a limit: they are shortened, and where even that does not fit they are left to the value above.
  const words = [whole, whole.split(":")[0]].find((text) => widthOf(text) <= room.to - room.from) ?? "";
  const wordsWidth = widthOf(words);
  const middle = Math.min(Math.max(tick ?? width / 2, room.from + wordsWidth / 2), room.to - wordsWidth / 2);
  const hatched = row.standing === "unknown" || row.standing === "undetermined";
  const where =
    row.channel !== null
      ? context.channelName(row.channel)
      : row.unit === "mbar" || vacuumFigures.has(row.figure)
        ? texts.figures.chamber
        : "";
  return html`<div class=${`figure ${row.standing}`} data-testid=${`figure-${row.figure}`} data-standing=${row.standing}>
    <div class="figure-head">
      ${mark(row)}<span class="figure-name">${figureName(row, context)}</span><span class="figure-where">${where}</span>
      <span class=${row.value === null ? "figure-value none" : "figure-value"}><b data-testid=${`figure-value-${row.figure}`}>${shown.value}</b>${uncertaintyText(row)}${shown.unit === "" ? nothing : html` ${shown.unit}`}</span>
    </div>
    <svg width=${width} height="42" viewBox=${`0 0 ${width} 42`} aria-hidden="true">
      <line class="bar-axis" x1="0" x2=${width} y1="11" y2="11"></line>
      <rect class="band" x=${x(scale.bandFrom)} y="4" width=${x(scale.bandTo) - x(scale.bandFrom)} height="14"></rect>
      ${soft === null ? nothing : svg`<rect class="soft-edge" x=${soft.from} y="7" width=${soft.to - soft.from} height="8"></rect>`}
      ${hatched ? svg`<rect fill="url(#bar-hatch)" x=${x(scale.bandFrom)} y="4" width=${x(scale.bandTo) - x(scale.bandFrom)} height="14"></rect>` : nothing}
      ${lowerX === null ? nothing : svg`<line class="bar-limit" x1=${lowerX} x2=${lowerX} y1="1" y2="21"></line><text class="second" x=${lowerX} y="35" text-anchor="middle">${write.limit(row.lower as number, row.unit)}</text>`}
      ${upperX === null ? nothing : svg`<line class="bar-limit" x1=${upperX} x2=${upperX} y1="1" y2="21"></line><text class="second" x=${upperX} y="35" text-anchor="middle">${write.limit(row.upper as number, row.unit)}</text>`}
      ${tick === null ? nothing : svg`<rect class="tick" x=${tick - 2.5} y="0" width="5" height="22"></rect>`}
      ${beyond === 0 || tick === null ? nothing : svg`<path class="arrow" d=${beyond > 0 ? `M${tick + 5} 6.5l4 4.5l-4 4.5` : `M${tick - 5} 6.5l-4 4.5l4 4.5`}></path>`}
      ${words === "" ? nothing : svg`<text class="bar-words" x=${middle} y="35" text-anchor="middle">${words}</text>`}
    </svg>
  </div>`;
}

const vacuumFigures = new Set([
  "pumpDownTime",
  "vacuumHold",
  "ventTime",
  "steepestEvacuation",
  "steepestVent",
  "voidExpansion",
  "evacuations",
]);
