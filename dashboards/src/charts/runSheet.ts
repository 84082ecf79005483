import { html, render, svg } from "lit-html";
import type { CellStore } from "../state/cellStore";
import { createEnvelope, type Envelope } from "../state/envelope";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { type CurveLook, type Curves, createCurves } from "./curves";
import { type FrameInput, frameLayer, type Gate } from "./frameLayer";
import {
  type Place,
  pressureRange,
  type Range,
  type SheetGeometry,
  sheetGeometry,
  temperatureRange,
  xOf,
  yOf,
  yOfPressure,
} from "./geometry";
import { gapHatches } from "./hatches";
import { type Inks, inkOf, readInks } from "./inks";
import { type CurveLabel, createLabelLayer, type LabelLayer } from "./labelLayer";
import { planLabels } from "./labelPlan";
import { type Lens, planLens } from "./lens";
import { extent, firstReached, lastPoint } from "./readings";
import { ribbonPieces } from "./ribbon";

/** The run's picture: curves, and everything that stands around them. */
export interface RunSheet {
  /** Draws what came since; cheap, for every frame of the screen. */
  frame(): void;
  /** Lays everything out anew for a view; at most four times a second. */
  layOut(view: CellView, place: Place, chosen: string | null): void;
  /** The theme changed: read the inks again. */
  restyle(): void;
  destroy(): void;
}

interface Strips {
  readonly key: string;
  readonly temperature: Envelope;
  readonly pressure: Envelope | null;
  readonly main: Curves;
  readonly lens: Curves;
  readonly chamber: Curves | null;
}

export function createRunSheet(
  host: HTMLElement,
  store: CellStore,
  texts: Texts,
  choose: (id: string) => void,
): RunSheet {
  render(html`<div class="curve-host"></div><div class="frame-host"></div><div class="label-host"></div>`, host);
  const curveHost = host.querySelector(".curve-host") as HTMLElement;
  const frameHost = host.querySelector(".frame-host") as HTMLElement;
  const labelHost = host.querySelector(".label-host") as HTMLElement;
  render(svgShell(), frameHost);
  const frameRoot = frameHost.querySelector(".frame") as SVGElement;
  const labels: LabelLayer = createLabelLayer(labelHost, frameHost.querySelector(".leaders") as SVGElement, choose);
  let inks: Inks = readInks();
  let strips: Strips | null = null;
  let view: CellView | null = null;
  let geometry: SheetGeometry = sheetGeometry(400, 400, "desk");
  let axis: Range = { min: 0, max: 1 };
  let temperatures: Range = { min: 20, max: 250 };
  let pressures: Range = { min: 0.7, max: 1400 };
  let looks: CurveLook[] = [];
  let lens: Lens | null = null;
  let gate: Gate | null = null;
  let runKey = "";

  /** One set of curves for the channels that are drawn; another layout or carrier gets its own. */
  const stripsFor = (next: CellView): Strips | null => {
    const { traces } = store;
    if (traces === null) return null;
    const ids = next.temperatures.map((channel) => channel.index);
    const key = `${next.layout.session}/${ids.join()}/${next.chamber?.index ?? ""}`;
    if (strips?.key === key) return strips;
    strips?.main.destroy();
    strips?.lens.destroy();
    strips?.chamber?.destroy();
    // Quiet channels first, so that the product lies above them.
    const drawn = drawOrder(next);
    return {
      key,
      temperature: createEnvelope(
        traces,
        drawn.map((channel) => channel.index),
      ),
      pressure:
        next.chamber === null ? null : createEnvelope(traces, [next.chamber.index], (mbar) => (mbar > 0 ? mbar : null)),
      main: createCurves(curveHost, drawn.length, false, "main"),
      lens: createCurves(curveHost, drawn.length, false, "magnified"),
      chamber: next.chamber === null ? null : createCurves(curveHost, 1, true, "chamber"),
    };
  };

  const draw = (): void => {
    if (strips === null || view === null) return;
    strips.temperature.update();
    strips.main.draw(strips.temperature.data, looks, axis, temperatures);
    if (lens !== null) strips.lens.draw(strips.temperature.data, looks, lens.x, lens.y);
    if (strips.pressure !== null && strips.chamber !== null && geometry.pressure !== null) {
      strips.pressure.update();
      strips.chamber.draw(strips.pressure.data, [{ ...inks.pressure, alpha: 1 }], axis, pressures);
    }
  };

  const aim = (next: CellView, interval_s: number): void => {
    if (strips === null) return;
    const length_s = axis.max - axis.min;
    const column = (length_s * 1000) / Math.max(1, geometry.plot.width * Math.min(2, devicePixelRatio));
    const columnMs = column < 2 * interval_s * 1000 ? 0 : column;
    const until = next.run?.end ?? Number.POSITIVE_INFINITY;
    // Before the first run there is nothing to lay over a time axis.
    const from = next.mode === "waiting" ? Number.MAX_SAFE_INTEGER : next.originMs;
    strips.temperature.aim(next.originMs, from, until, columnMs);
    strips.pressure?.aim(next.originMs, from, until, columnMs);
    strips.temperature.update();
    strips.pressure?.update();
  };

  const layOut = (next: CellView, place: Place, chosen: string | null): void => {
    const size = host.getBoundingClientRect();
    if (size.width < 60 || size.height < 60) return;
    view = next;
    strips = stripsFor(next);
    if (strips === null) return;
    if (runKey !== `${next.layout.session}/${next.run?.number ?? ""}`) {
      runKey = `${next.layout.session}/${next.run?.number ?? ""}`;
      gate = null;
      lens = null;
    }
    geometry = sheetGeometry(Math.round(size.width), Math.round(size.height), place);
    const labelWidth = labelWidthFor(next, place);
    // A finished run does not grow any more: its labels stand beside its end.
    const room = next.mode === "finished" && place !== "phone" ? (labelWidth + 30) / geometry.plot.width : 0;
    axis = { min: 0, max: next.length_s / Math.max(0.4, 1 - room) };
    aim(next, next.layout.interval_s);
    const data = strips.temperature.data;
    const drawn = drawOrder(next);
    const product = drawn.flatMap((channel, i) => (channel.style > 0 ? [i] : []));
    const all = drawn.map((_, i) => i);
    const { spec } = next.layout;
    const upperPeak =
      spec?.limits
        .filter((limit) => limit.figure === "peakTemperature" && limit.upper !== null)
        .map((limit) => limit.upper as number) ?? [];
    const lowerPeak =
      spec?.limits
        .filter((limit) => limit.figure === "sustainedPeak" && limit.lower !== null)
        .map((limit) => limit.lower as number) ?? [];
    const peakLimit = upperPeak.length > 0 ? Math.min(...upperPeak) : null;
    const whole = extent(data, all, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
    temperatures = temperatureRange(
      whole?.least ?? 25,
      whole?.greatest ?? 25,
      Math.max(240, peakLimit ?? 0, spec?.liquidus ?? 0),
    );
    const chamber =
      strips.pressure === null
        ? null
        : extent(strips.pressure.data, [0], Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
    pressures = pressureRange(chamber?.least ?? 1, spec?.vacuumTarget ?? null);

    gate = nextGate(next, spec?.liquidus ?? null, gate, store.state?.t ?? null);
    lens =
      place === "phone" || place === "touch" || spec === null || next.mode !== "running"
        ? null
        : nextLens(next, data, product, all, peakLimit);
    looks = drawn.map((channel) => {
      const ink = inkOf(inks, channel.layout.role, channel.style);
      const deciding = channel.layout.id === (chosen ?? next.deciding);
      return { ...ink, width: deciding ? inks.decidingWidth : ink.width, alpha: chosen === null || deciding ? 1 : 0.3 };
    });
    strips.main.place(geometry.plot);
    strips.lens.show(lens !== null);
    if (lens !== null) strips.lens.place(lens.box);
    strips.chamber?.show(geometry.pressure !== null);
    if (geometry.pressure !== null) strips.chamber?.place(geometry.pressure);
    draw();

    const lost = store.link.kind === "lost";
    const heightAt = (i: number) => (before_s: number) => {
      const point = lastPoint(data, i, before_s);
      return point === null ? null : yOf(geometry.plot, temperatures, point.y);
    };
    const silent = (channel: ChannelView): number | null =>
      !lost && next.mode === "running" && channel.stale && store.heard !== null && store.traces !== null
        ? (store.traces.latestTime[channel.index] - next.originMs) / 1000
        : null;
    const gaps = next.run?.gaps ?? [];
    const hatches =
      next.mode === "waiting"
        ? []
        : [
            ...gapHatches(
              drawn.map((channel, i) => ({
                id: channel.layout.id,
                heightAt: heightAt(i),
                silentSince_s: silent(channel),
              })),
              gaps,
              next.originMs,
              next.elapsed_s,
              geometry.plot,
            ),
            ...(next.chamber === null || geometry.pressure === null
              ? []
              : gapHatches(
                  [{ id: next.chamber.layout.id, heightAt: () => null, silentSince_s: silent(next.chamber) }],
                  gaps,
                  next.originMs,
                  next.elapsed_s,
                  geometry.pressure,
                )),
          ];
    const phases = next.run?.phases ?? [];
    const pieces = (track: "thermal" | "vacuum") =>
      ribbonPieces(track, phases, next.layout.usualPhases, next.originMs, next.elapsed_s, next.mode !== "finished");
    const input: FrameInput = {
      geometry,
      place,
      axis,
      temperatures,
      pressures,
      spec,
      peakLimit,
      lowPeakLimit: lowerPeak.length > 0 ? Math.max(...lowerPeak) : null,
      reflowFrom_s: next.layout.usualPhases.find((phase) => phase.phase === "reflow")?.start_s ?? null,
      hasVacuum: next.chamber !== null,
      thermal: pieces("thermal"),
      vacuum: pieces("vacuum"),
      gate: next.mode === "running" ? gate : null,
      lens,
      hatches,
      now: {
        at_s: next.elapsed_s,
        kind: next.mode === "running" ? "now" : next.mode === "finished" ? "ended" : "waiting",
        text:
          next.mode === "running"
            ? texts.chart.now(write.runTime(next.elapsed_s))
            : next.mode === "finished"
              ? texts.chart.ended(write.runTime(next.elapsed_s))
              : texts.chart.nowWaiting,
      },
      torn_s: lost && next.mode === "running" ? next.elapsed_s : null,
      texts,
    };
    frameHost.querySelector("svg")?.setAttribute("viewBox", `0 0 ${geometry.width} ${geometry.height}`);
    render(frameLayer(input), frameRoot);
    labels.update(place === "phone" ? [] : layLabels(next, place, data, drawn, labelWidth, chosen));
  };

  const nextLens = (
    next: CellView,
    data: Envelope["data"],
    product: readonly number[],
    all: readonly number[],
    peakLimit: number | null,
  ): Lens | null => {
    const liquidus = next.layout.spec?.liquidus ?? 0;
    const from_s = firstReached(data, product, liquidus - 6);
    const since = from_s === null ? null : extent(data, all, from_s, Number.POSITIVE_INFINITY);
    const ahead = Math.max(next.elapsed_s + 12, (gate?.to_s ?? 0) + 12);
    return planLens({
      plot: geometry.plot,
      axis,
      temperatures,
      liquidus,
      values: next.temperatures
        .filter((channel) => channel.style > 0 && !channel.stale && channel.value !== null)
        .map((channel) => channel.value as number),
      peakLimit,
      from_s,
      // Rounded up, so that its edge does not crawl along with now.
      until_s: Math.ceil(ahead / 10) * 10,
      least: since?.least ?? liquidus,
      greatest: since?.greatest ?? liquidus,
      shown: lens !== null,
    });
  };

  const layLabels = (
    next: CellView,
    place: Place,
    data: Envelope["data"],
    drawn: readonly ChannelView[],
    width: number,
    chosen: string | null,
  ): CurveLabel[] => {
    const end = xOf(geometry.plot, axis, next.elapsed_s);
    const inLens = (channel: ChannelView, y: number): boolean =>
      lens !== null && y > lens.y.min && y < lens.y.max && channel.layout.role !== "transport";
    const shown = next.temperatures.flatMap((channel) => {
      const point =
        next.mode === "waiting"
          ? channel.value === null
            ? null
            : { x: 0, y: channel.value }
          : lastPoint(data, drawn.indexOf(channel), next.elapsed_s);
      return point === null ? [] : [{ channel, point }];
    });
    const text = (channel: ChannelView, y: number): string =>
      next.mode === "running" && channel.stale ? write.span(channel.ageMs / 1000) : write.temperature(y);
    const common = (channel: ChannelView, y: number) => ({
      id: channel.layout.id,
      name: channel.layout.name,
      value: text(channel, y),
      ink: channel.style > 0 ? `ink-${channel.style}` : `ink-${channel.layout.role}`,
      strong: channel.layout.id === (chosen ?? next.deciding),
      old: channel.stale || store.link.kind === "lost",
      chosen: channel.layout.id === chosen,
      width,
    });
    const place_ = (entries: typeof shown, magnified: boolean): CurveLabel[] => {
      if (entries.length === 0) return [];
      const height = (y: number): number =>
        magnified && lens !== null ? yOf(lens.box, lens.y, y) : yOf(geometry.plot, temperatures, y);
      const columns = place === "touch" ? 2 : 1;
      const x = magnified && lens !== null ? Math.max(end, lens.box.left + lens.box.width - 8) : end;
      const plan = planLabels({
        x,
        ends: entries.map(({ point }) => height(point.y)),
        width: width * columns,
        gap: place === "touch" ? 22 : 20,
        area:
          magnified && lens !== null
            ? { ...lens.box, left: geometry.plot.left, width: geometry.plot.width }
            : geometry.plot,
        leader: columns > 1 ? 12 : 28,
        taken: (from, to) => {
          const t = (px: number): number =>
            axis.min + ((px - geometry.plot.left) / geometry.plot.width) * (axis.max - axis.min);
          const found = extent(
            data,
            drawn.map((_, i) => i),
            t(from),
            t(to),
          );
          return found === null ? null : { top: height(found.greatest), bottom: height(found.least) };
        },
      });
      return entries.map(({ channel, point }, i) => {
        const leftward = plan.side === "left";
        if (columns === 1)
          return {
            ...common(channel, point.y),
            left: plan.left,
            top: plan.heights[i],
            leftward,
            from: { x: xOf(geometry.plot, axis, point.x), y: height(point.y) },
          };
        // Two columns by number, where rows beside each end have no room.
        const rows = Math.ceil(entries.length / 2);
        const first = Math.min(...plan.heights);
        return {
          ...common(channel, point.y),
          left: plan.left + Math.floor(i / rows) * width,
          top: first + (i % rows) * 22,
          leftward,
          from: null,
        };
      });
    };
    const result = [
      ...place_(
        shown.filter(({ channel, point }) => inLens(channel, point.y)),
        true,
      ),
      ...place_(
        shown.filter(({ channel, point }) => !inLens(channel, point.y)),
        false,
      ),
    ];
    return [...result, ...chamberLabel(next, end, width)];
  };

  const chamberLabel = (next: CellView, end: number, width: number): CurveLabel[] => {
    const { chamber } = next;
    if (chamber === null || geometry.pressure === null || strips?.pressure == null) return [];
    const point =
      next.mode === "waiting"
        ? chamber.value === null
          ? null
          : { x: 0, y: chamber.value }
        : lastPoint(strips.pressure.data, 0, next.elapsed_s);
    if (point === null || point.y <= 0) return [];
    const y = yOfPressure(geometry.pressure, pressures, point.y);
    const rightward = end + 12 + width < geometry.plot.left + geometry.plot.width + 20;
    return [
      {
        id: chamber.layout.id,
        name: chamber.layout.name,
        value:
          next.mode === "running" && chamber.stale
            ? write.span(chamber.ageMs / 1000)
            : `${write.pressure(point.y)}${write.nbsp}mbar`,
        ink: "ink-pressure",
        strong: false,
        old: chamber.stale || store.link.kind === "lost",
        chosen: false,
        width,
        left: rightward ? end + 12 : end - 12 - width,
        top: Math.min(
          Math.max(y + (rightward ? 0 : 16), geometry.pressure.top + 10),
          geometry.pressure.top + geometry.pressure.height - 10,
        ),
        from: null,
        leftward: !rightward,
      },
    ];
  };

  return {
    layOut,
    frame: draw,
    restyle() {
      inks = readInks();
    },
    destroy() {
      strips?.main.destroy();
      strips?.lens.destroy();
      strips?.chamber?.destroy();
    },
  };
}

const svgShell = () =>
  html`<svg aria-hidden="true" width="100%" height="100%">${svg`<g class="frame"></g><g class="leaders"></g>`}</svg>`;

/** Quiet channels first, so that the product is drawn above them. */
const drawOrder = (view: CellView): readonly ChannelView[] =>
  [...view.temperatures].sort((a, b) => Math.min(a.style, 1) - Math.min(b.style, 1) || a.index - b.index);

/** Room for the longest name and its value, px. */
function labelWidthFor(view: CellView, place: Place): number {
  const longest = Math.max(
    8,
    ...view.temperatures.map((channel) => channel.layout.name.length),
    (view.chamber?.layout.name.length ?? 0) + 2,
  );
  return Math.round(Math.min(30, longest) * (place === "touch" ? 9 : 7.9) + 34 + 56);
}

/** Where the curve that decides must fall through liquidus; keeps its place once the curve has fallen. */
function nextGate(view: CellView, liquidus: number | null, before: Gate | null, stateMs: number | null): Gate | null {
  if (liquidus === null || view.run === null || stateMs === null || view.mode !== "running") return before;
  const row = view.figures.find((candidate) => candidate.figure === "timeAboveLiquidus");
  const channel = view.temperatures.find((candidate) => candidate.layout.id === row?.channel);
  if (row === undefined || channel === undefined || row.value === null || row.value <= 0) return before;
  const level =
    view.layout.spec?.limits.find((limit) => limit.figure === "timeAboveLiquidus")?.level ??
    channel.layout.liquidus ??
    liquidus;
  if (row.final || channel.stale || (channel.value ?? 0) < level) return before;
  const at_s = (stateMs - view.run.start) / 1000;
  const start = at_s - row.value;
  return {
    level,
    lower: row.lower,
    upper: row.upper,
    from_s: row.lower === null ? start : start + row.lower,
    to_s: row.upper === null ? null : start + row.upper,
  };
}
