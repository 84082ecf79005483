import { html, nothing, render, svg, type TemplateResult } from "lit-html";
import type { Place } from "../charts/geometry";
import { closeRange, pressureRange, type Range, temperatureRange } from "../charts/geometry";
import { type OverlayGeometry, overlayGeometry } from "../charts/overlayGeometry";
import { overlaySheet, type Side } from "../charts/overlaySheet";
import { pairBar } from "../charts/pairBar";
import { savePicture } from "../charts/picture";
import { anyRun, type RunShape } from "../feed/records";
import { barContext } from "../pages/barContext";
import { createInspector } from "../pages/inspector";
import { promptBar } from "../pages/promptBar";
import { sheetTools } from "../pages/sheetTools";
import { storedHead } from "../pages/storedHead";
import { when } from "../pages/when";
import { type Asked, failed } from "../state/asked";
import type { CloserLook } from "../state/closerLook";
import { corridorOf, reached, referencesFor } from "../state/corridor";
import { bandOf, differenceOf, extentOf, firstAbove, overlaid, pairFigures, type Stretch } from "../state/overlay";
import { type Prompt, prompt } from "../state/promptTypes";
import { addressOf, type LinedUp, type Route } from "../state/route";
import { type StoredRun, storedRun } from "../state/storedRun";
import type { CellView } from "../state/view";
import * as write from "../texts/format";
import { createAddressKeeper } from "./addressKeeper";
import type { Surroundings, Visit } from "./context";

type OverlayRoute = Extract<Route, { place: "overlay" }>;

/** Both runs, and how the second is moved. */
interface Both {
  readonly a: StoredRun;
  readonly b: StoredRun;
  /** When the first board was liquid in each, s; null: never. */
  readonly liquid: readonly [number | null, number | null];
  readonly level: number | null;
}

/** Two runs of the record over each other. */
export function createOverlayPlace(around: Surroundings): Visit<OverlayRoute> {
  const { texts, page } = around;
  const words = texts.overlay;
  const element = document.createElement("div");
  element.className = "sheet overlay-sheet";
  let route: OverlayRoute | null = null;
  /** What the address asks for, until both runs are there. */
  let wanted: CloserLook | null = null;
  const keeper = createAddressKeeper(around);
  let asked: Asked<Both> = { kind: "asking", sinceMs: 0 };
  /** The runs came before the cell was known: they are built anew with its name and whether it is a demo. */
  let awaited = false;
  let references: readonly RunShape[] = [];
  let geometry: OverlayGeometry | null = null;
  let axis: Range = { min: 0, max: 1 };
  const inspector = createInspector(element, () => (geometry === null ? null : { geometry, axis }), around.relay);
  const both = (): Both | null => (asked.kind === "here" ? asked.value : null);
  /** Bands of the columns drawn last: they change with the width, not with the cursor. */
  let bands: { readonly key: string; readonly value: readonly Stretch[][] } | null = null;

  const fetch = (): void => {
    const mine = route;
    if (mine === null) return;
    asked = { kind: "asking", sinceMs: around.nowMs() };
    Promise.all([around.runs.get(mine.cell, mine.run), around.runs.get(mine.cell, mine.other)]).then(
      ([first, second]) => {
        if (route?.run !== mine.run || route.other !== mine.other) return;
        if (around.live.layout === null) awaited = true;
        const [a, b] = [first, second].map(({ detail, curves }) => storedRun(detail, curves, around.live.layout));
        const level =
          a.view.layout.spec?.liquidus ?? b.view.layout.spec?.liquidus ?? around.live.layout?.spec?.liquidus ?? null;
        const liquid = (run: StoredRun): number | null =>
          level === null ? null : firstAbove(run, overlaid(run), level);
        asked = { kind: "here", value: { a, b, liquid: [liquid(a), liquid(b)], level } };
        around.relay();
        // The corridor comes when it comes: both runs can be looked at without it.
        references = [];
        referencesFor(a.detail.run, around.paperFeed, around.records, new AbortController().signal).then(
          (found) => {
            if (route?.run !== mine.run) return;
            references = found;
            around.relay();
          },
          () => undefined, // without references there is no corridor
        );
      },
      (error: unknown) => {
        if (route !== mine) return;
        asked = failed(error);
        around.relay();
      },
    );
    around.relay();
  };

  /** How far the second run is moved, s. */
  const offsetOf = ({ liquid }: Both, linedUp: LinedUp): number =>
    linedUp === "liquidus" && liquid[0] !== null && liquid[1] !== null ? liquid[0] - liquid[1] : 0;

  const promptNow = (at: OverlayRoute, figures: ReturnType<typeof pairFigures>): Prompt => {
    const here = both();
    if (asked.kind === "failed")
      return prompt("overlay/failed", "unknown", texts.run.failed(at.run), asked.words ?? texts.runs.noAnswer);
    if (here === null) return prompt("overlay/asking", "calm", texts.run.fetching(at.run), texts.run.fetchingDetail);
    const most = figures.find((pair) => pair.weight > 0);
    const late = at.linedUp === "liquidus" && here.liquid.includes(null) ? `${words.noLiquidus} ` : "";
    if (most === undefined)
      return prompt("overlay/none", "calm", figures.length === 0 ? words.noFigures : words.none, late);
    const value = (row: typeof most.a): string =>
      write.withUnit(write.figure(row.value ?? 0, row.unit, true), row.unit);
    const name = texts.lower(texts.figures.names[most.a.figure] ?? most.a.figure);
    return prompt("overlay/most", "calm", words.most(name, value(most.a), value(most.b)), `${late}${words.mostDetail}`);
  };

  /** Released runs over the time of the first run, lined up as the second is. */
  const corridorNow = ({ liquid, level }: Both, linedUp: LinedUp) =>
    corridorOf(
      references.flatMap((shape) => {
        const at = linedUp === "liquidus" && level !== null ? reached(shape, level) : null;
        if (linedUp === "start" || liquid[0] === null || level === null) return [{ shape, offset_s: 0 }];
        return at === null ? [] : [{ shape, offset_s: liquid[0] - at }];
      }),
    );

  const draw = (here: Both, at: OverlayRoute, place: Place): void => {
    const size = element.getBoundingClientRect();
    if (size.width < 60 || size.height < 60) return;
    geometry = overlayGeometry(Math.round(size.width), Math.round(size.height), place);
    const offset = offsetOf(here, at.linedUp);
    // The axis begins with whichever begins first; its labels are times of the first run.
    const zero = Math.min(0, offset);
    const offsets = [-zero, offset - zero];
    const length = Math.max(here.a.view.elapsed_s + offsets[0], here.b.view.elapsed_s + offsets[1]);
    const { window } = inspector.inspect;
    axis = window === null ? { min: 0, max: length } : { min: window.from_s, max: window.to_s };
    const column = (axis.max - axis.min) / geometry.plot.width;
    const key = [at.run, at.other, column.toFixed(5)].join();
    if (bands?.key !== key) {
      const chamber = (run: StoredRun): number[] => (run.view.chamber === null ? [] : [run.view.chamber.index]);
      bands = {
        key,
        value: [here.a, here.b].flatMap((run) => [
          bandOf(run, overlaid(run), column),
          bandOf(run, chamber(run), column),
        ]),
      };
    }
    const [ta, pa, tb, pb] = bands.value;
    const a: Side = { stored: here.a, temperature: ta, pressure: pa, offset_s: offsets[0] };
    const b: Side = { stored: here.b, temperature: tb, pressure: pb, offset_s: offsets[1] };
    const difference = differenceOf(ta, tb, offset);
    const seen = extentOf([ta, tb], axis.min, axis.max, offsets);
    const lowest = extentOf([pa, pb], Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY, offsets);
    const apart = extentOf([difference], axis.min, axis.max, offsets);
    const margin = Math.max(2, ((apart?.max ?? 0) - (apart?.min ?? 0)) * 0.1);
    render(
      svg`${overlaySheet({
        geometry,
        place,
        axis,
        temperatures:
          window !== null && seen !== null
            ? closeRange(seen.min, seen.max)
            : temperatureRange(seen?.min ?? 25, seen?.max ?? 250, 240),
        pressures: pressureRange(lowest?.min ?? 1, here.a.view.layout.spec?.vacuumTarget ?? null),
        differences: { min: Math.min(0, apart?.min ?? 0) - margin, max: Math.max(0, apart?.max ?? 0) + margin },
        a,
        b,
        difference,
        corridor: corridorNow(here, at.linedUp),
        liquidus: here.a.view.layout.spec?.liquidus ?? null,
        cursor_s: inspector.inspect.cursor_s,
        mark_s: inspector.inspect.mark_s,
        zero_s: zero,
        texts,
      })}${dragged()}`,
      element.querySelector(".frame") as SVGElement,
    );
  };
  const dragged = (): TemplateResult | typeof nothing => {
    const stretch = inspector.dragged;
    if (stretch === null || geometry === null) return nothing;
    const { plot, floor } = geometry;
    const x = (t: number): number => plot.left + ((t - axis.min) / (axis.max - axis.min)) * plot.width;
    return svg`<rect class="dragged" x=${x(Math.min(...stretch))} y=${plot.top} width=${Math.abs(x(stretch[1]) - x(stretch[0]))} height=${floor - plot.top}></rect>` as TemplateResult;
  };
  render(
    html`<div class="frame-host"><svg aria-hidden="true" width="100%" height="100%"><g class="frame"></g></svg></div>`,
    element,
  );

  const saveNow = (): void => {
    const here = both();
    if (here === null || route === null) return;
    const of = ({ detail: { run } }: StoredRun): string => {
      const startMs = Date.parse(run.start);
      return words.run(run.number, write.day(startMs), write.clock(startMs));
    };
    void savePicture(element, {
      title: `${here.a.view.layout.name} · ${words.heading(route.run, route.other)}`,
      detail: [of(here.a), of(here.b), `${words.linedUp} ${words.at[route.linedUp]}`].join(" · "),
      file: `cell-${route.cell}-run-${route.run}-over-${route.other}`,
      simulated: here.a.view.layout.demo ? texts.demoShort : null,
    });
  };
  /** The inspector looks at a stretch as long as both runs together. */
  const spanned = (here: Both, at: OverlayRoute): CellView => {
    const offset = offsetOf(here, at.linedUp);
    const length = Math.max(here.a.view.elapsed_s - Math.min(0, offset), here.b.view.elapsed_s + Math.max(0, offset));
    return { ...here.a.view, length_s: length, elapsed_s: length };
  };

  return {
    enter(next) {
      const same = route !== null && route.run === next.run && route.other === next.other && asked.kind === "here";
      const { look, ...plain } = next;
      route = plain;
      wanted = look ?? null;
      keeper.entered(next);
      inspector.reset();
      if (!same) fetch();
    },
    leave: keeper.left,
    layOut() {
      if (route === null) return;
      const at = route;
      if (awaited && around.live.layout !== null) {
        awaited = false;
        fetch();
      }
      const here = both();
      const place = around.place();
      const span = here === null ? null : spanned(here, at);
      inspector.follow(span);
      if (wanted !== null && span !== null) {
        inspector.lookAs({ ...wanted, held_s: null, channel: null }, span.length_s, null);
        wanted = null;
      }
      const { look } = inspector;
      if (span !== null) keeper.keep({ ...at, ...(look === null ? {} : { look }) });
      // What was drawn before must not stand under the names of runs that are still being fetched.
      element.hidden = here === null;
      const figures = here === null ? [] : pairFigures(here.a.view.figures, here.b.view.figures);
      const width = place === "phone" ? page.clientWidth - 24 : place === "touch" ? page.clientWidth - 48 : 372;
      const named = ({ detail: { run } }: StoredRun) => {
        const startMs = Date.parse(run.start);
        return when(startMs, words.run(run.number, write.day(startMs), write.clock(startMs)));
      };
      const lined = (way: LinedUp) =>
        html`<a class="tool" aria-current=${way === at.linedUp ? "true" : nothing} data-testid=${`lined-${way}`} href=${addressOf({ ...at, linedUp: way })}>${words.at[way]}</a>`;
      render(
        html`${storedHead({
          title: words.heading(at.run, at.other),
          what: here === null ? nothing : html`${named(here.a)} · ${named(here.b)}`,
          demo: here?.a.view.layout.demo ?? false,
          clockMs: around.clockMs(),
          place,
          links: around.links(),
          tools: html`<span class="lined-up" role="group" aria-label=${words.linedUp}>${place === "desk" ? html`<span class="second">${words.linedUp}</span>` : nothing}${lined("start")}${lined("liquidus")}</span>
            <a class="tool" data-testid="swap" href=${addressOf({ ...at, run: at.other, other: at.run })}>${words.swap}</a>
            <a class="tool" href=${addressOf({ place: "runs", cell: at.cell, filter: anyRun, over: at.run })}>${words.another}</a>`,
          texts,
        })}
        ${around.urgent()} ${promptBar([promptNow(at, figures)], null, texts, () => undefined)}
        ${asked.kind === "failed" ? html`<p class="list-foot"><button type="button" class="plain" @click=${fetch}>${texts.runs.again}</button></p>` : nothing}
        <div class="body stored">
          <div class="stored-left"><section class="sheet-frame" aria-label=${words.describe(at.run, at.other)}>${element}
            ${here === null ? nothing : sheetTools(inspector.tools, { elapsed_s: null, savePicture: saveNow, annotate: null }, texts)}</section></div>
          ${
            here === null
              ? nothing
              : html`<aside class="figures" aria-label=${texts.figures.heading} tabindex="0">
                  <div class="figures-head"><h2>${texts.figures.heading}</h2><span>${words.sorted}</span></div>
                  <p class="second">${words.key(at.run, at.other)}</p>
                  ${figures.map((pair) => pairBar(pair, barContext(here.a.view, texts, width, place)))}
                </aside>`
          }
        </div>`,
        page,
      );
      if (here !== null) draw(here, at, place);
    },
    restyle: () => undefined,
    keys: { ...inspector, freeze: () => undefined, stepChannel: () => undefined },
    title: () => (route === null ? "" : words.heading(route.run, route.other)),
  };
}
