import { html, nothing, type TemplateResult } from "lit-html";
import { tileDrawing } from "../charts/tile";
import type { CellStore } from "../state/cellStore";
import { type FloorCell, floorAsks, floorRest } from "../state/floor";
import { type Prompt, prompt } from "../state/promptTypes";
import { addressOf } from "../state/route";
import type { CellView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { promptBar, shapes } from "./promptBar";

/** A cell of the floor as it stands now. */
export interface FloorTile extends FloorCell {
  readonly store: CellStore;
  /** Null until anything is known of it. */
  readonly view: CellView | null;
}

export interface FloorPageInput {
  readonly tiles: readonly FloorTile[];
  /** Why there are no tiles; null: there are, or they are on their way. */
  readonly failed: string | null;
  readonly tileWidth: number;
  readonly tileHeight: number;
  readonly head: TemplateResult;
  readonly texts: Texts;
}

/** Coolest and hottest board, or the vapour where no board is measured. */
function temperaturesOf(view: CellView, texts: Texts): string {
  const product = view.temperatures.filter((channel) => channel.style > 0 && channel.value !== null);
  const stale = product.length > 0 && product.every((channel) => channel.stale);
  const written = (value: number): string => write.figure(value, "degC", true);
  const values = product.map((channel) => channel.value as number);
  if (values.length > 0) {
    const [low, high] = [Math.min(...values), Math.max(...values)];
    const span = high - low < 0.05 ? written(high) : `${written(low)}–${written(high)}`;
    const ages = product.map((channel) => channel.ageMs);
    return stale
      ? texts.floor.boardLast(write.withUnit(span, "degC"), write.wholeSpan(Math.max(...ages) / 1000))
      : texts.floor.board(write.withUnit(span, "degC"));
  }
  const vapour = view.temperatures.find((channel) => channel.layout.role === "vapour" && channel.value !== null);
  return vapour === undefined
    ? texts.chart.noReading
    : texts.floor.vapour(write.withUnit(written(vapour.value ?? 0), "degC"));
}

function courseOf(view: CellView, texts: Texts): string {
  const { run } = view;
  if (view.mode === "running")
    return view.layout.usualCycle_s === null
      ? write.runTime(view.elapsed_s)
      : texts.floor.course(write.runTime(view.elapsed_s), write.runTime(view.layout.usualCycle_s));
  if (run === null) return "";
  return texts.floor.last(run.number, texts.runs.words[run.verdict ?? "none"]);
}

function tile(one: FloorTile, input: FloorPageInput): TemplateResult {
  const { texts } = input;
  const { view, store } = one;
  const first = one.prompts[0];
  const { run } = view ?? { run: null };
  const lost = store.link.kind === "lost";
  const what = [
    run === null ? null : texts.head.run(run.number),
    run === null ? null : texts.head.carrier(run.carrier),
    view?.layout.spec?.name ?? null,
  ].filter((part) => part !== null);
  const age = view?.ageMs ?? null;
  const pressure = view?.chamber?.value ?? null;
  const dim = view !== null && (view.mode !== "running" || lost || view.stale);
  return html`<a class=${`tile ${first.tone}${dim ? " dim" : ""}`} href=${addressOf({ place: "cell", cell: one.cell })} data-testid=${`tile-${one.cell}`} data-tone=${first.tone} data-cell=${one.cell}>
    <span class="tile-head"><b>${one.name}</b> <span class="tile-what">${what.join(" · ")}</span>
      <span class=${view?.stale === true ? "tile-age old" : "tile-age"}>${age === null ? texts.head.noReadings : texts.head.ageShort(write.span(age / 1000))}</span></span>
    <span class="tile-prompt">${shapes[first.tone] ?? nothing}<span data-testid=${`tile-sentence-${one.cell}`}>${first.sentence}</span></span>
    ${view === null ? html`<span class="tile-empty"></span>` : tileDrawing({ store, view, width: input.tileWidth, height: input.tileHeight, texts })}
    <span class="tile-foot">${
      view === null
        ? nothing
        : html`<span>${temperaturesOf(view, texts)}</span>${pressure === null ? nothing : html`<span>${write.withUnit(write.pressure(pressure), "mbar")}</span>`}<span class="tile-course">${courseOf(view, texts)}</span>`
    }</span>
  </a>`;
}

const listed = (names: readonly string[], texts: Texts): string =>
  names.length < 2 ? names.join("") : texts.and(names.slice(0, -1).join(", "), names.at(-1) ?? "");

/** The sentences of the floor: those that ask, each with its cell, then what is to be said of the others. */
export function floorPrompts(tiles: readonly FloorTile[], failed: string | null, texts: Texts): readonly Prompt[] {
  const words = texts.floor;
  if (failed !== null) return [prompt("floor/failed", "unknown", words.failed, failed)];
  if (tiles.length === 0) return [prompt("floor/asking", "calm", words.asking, "")];
  const asks = floorAsks(tiles);
  const rest = floorRest(tiles);
  const parts = [
    rest.unknown.length === 0 ? null : words.unknown(listed(rest.unknown, texts), rest.unknown.length),
    rest.calm.length === 0
      ? null
      : rest.calm.length === tiles.length
        ? words.allCalm(tiles.length)
        : words.calm(listed(rest.calm, texts)),
  ].filter((part) => part !== null);
  const rows = asks.slice(0, 3).map(({ cell, prompt: of }) => ({
    ...of,
    sentence: words.asks(cell.name, of.sentence),
    alarm: null,
    detail: "",
  }));
  const more = asks.length > 3 ? [words.more(asks.length - 3)] : [];
  const said = [...more, ...parts].join(" ");
  return said === ""
    ? rows
    : [...rows, prompt("floor/rest", rest.unknown.length > 0 && asks.length === 0 ? "unknown" : "calm", said, "")];
}

/** All cells at a glance: what is asked, and each as a small run. */
export function floorPage(input: FloorPageInput): TemplateResult {
  const { texts, tiles } = input;
  return html`${input.head} ${promptBar(floorPrompts(tiles, input.failed, texts), null, texts, () => undefined)}
    <section class="floor" aria-label=${texts.floor.heading}>${tiles.map((one) => tile(one, input))}</section>`;
}
