import { html, render } from "lit-html";
import type { Annotation } from "../state/annotations";
import { alarmedChannels, type CellStore } from "../state/cellStore";
import { createEnvelope, type Envelope } from "../state/envelope";
import type { Inspect } from "../state/inspect";
import { readingAt } from "../state/traces";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import { type CurveLook, type Curves, createCurves } from "./curves";
import { frameLayer } from "./frameLayer";
import type { Place } from "./geometry";
import { type Inks, inkOf, readInks } from "./inks";
import { createLabelLayer } from "./labelLayer";
import { labelRows } from "./labelRows";
import { type Axes, drawOrder, planAxes, planScene, type Scene, type SceneMemory } from "./scene";

/** The run's picture: curves, and everything that stands around them. */
export interface RunSheet {
  /** Draws what came since; cheap, for every frame of the screen. */
  frame(): void;
  /** Lays everything out anew for a view; at most four times a second. */
  layOut(
    view: CellView,
    place: Place,
    chosen: string | null,
    inspect: Inspect,
    dragged: readonly [number, number] | null,
    annotations?: readonly Annotation[],
  ): void;
  /** The axes drawn now; null before the first. */
  axes(): Axes | null;
  /** The theme changed: read the inks again. */
  restyle(): void;
}

/** Curves and their data for one set of channels. */
interface Strips {
  readonly key: string;
  readonly temperature: Envelope;
  readonly main: Curves;
  readonly lens: Curves;
  readonly pressure: { readonly envelope: Envelope; readonly curves: Curves } | null;
}

const shell = () => html`<div class="curve-host"></div>
  <div class="frame-host">
    <svg aria-hidden="true" width="100%" height="100%"><g class="frame"></g><g class="leaders"></g></svg>
  </div>
  <div class="label-host"></div>`;

/**
 * @param host element that the sheet fills
 * @param source what is drawn: the live cell, or a run of the record
 * @param choose called with a channel's id when its label is pressed
 */
export function createRunSheet(
  host: HTMLElement,
  source: () => CellStore | null,
  texts: Texts,
  choose: (id: string) => void,
): RunSheet {
  render(shell(), host);
  const part = <T extends Element>(selector: string): T => host.querySelector(selector) as T;
  const curveHost = part<HTMLElement>(".curve-host");
  const frameRoot = part<SVGElement>(".frame");
  const labels = createLabelLayer(part<HTMLElement>(".label-host"), part<SVGElement>(".leaders"), choose);
  let inks: Inks = readInks();
  let strips: Strips | null = null;
  let axes: Axes | null = null;
  let scene: Scene | null = null;
  let looks: CurveLook[] = [];
  let sceneRun = "";

  /** Another layout or another carrier gets curves of its own. */
  const stripsFor = (view: CellView): Strips | null => {
    const traces = source()?.traces ?? null;
    if (traces === null) return null;
    const drawn = drawOrder(view);
    const { chamber } = view;
    const key = `${view.layout.session}/${drawn.map((channel) => channel.index).join()}/${chamber?.index ?? ""}`;
    if (strips?.key === key) return strips;
    strips?.main.destroy();
    strips?.lens.destroy();
    strips?.pressure?.curves.destroy();
    return {
      key,
      temperature: createEnvelope(
        traces,
        drawn.map((channel) => channel.index),
      ),
      main: createCurves(curveHost, drawn.length, false, "main"),
      lens: createCurves(curveHost, drawn.length, false, "magnified"),
      pressure:
        chamber === null
          ? null
          : {
              // A logarithmic axis has no place for zero; what is below the gauge's range is a hole.
              envelope: createEnvelope(traces, [chamber.index], (mbar) => (mbar > 0 ? mbar : null)),
              curves: createCurves(curveHost, 1, true, "chamber"),
            },
    };
  };

  const aim = (view: CellView, { geometry, axis }: Axes, inspect: Inspect): void => {
    if (strips === null) return;
    const column = ((axis.max - axis.min) * 1000) / Math.max(1, geometry.plot.width * Math.min(2, devicePixelRatio));
    const columnMs = column < 2000 * view.layout.interval_s ? 0 : column;
    const until =
      inspect.frozen_s !== null ? view.originMs + inspect.frozen_s * 1000 : (view.run?.end ?? Number.POSITIVE_INFINITY);
    // Before the first run there is nothing to lay over a time axis.
    const from = view.mode === "waiting" ? Number.MAX_SAFE_INTEGER : view.originMs;
    for (const envelope of [strips.temperature, strips.pressure?.envelope]) {
      envelope?.aim(view.originMs, from, until, columnMs);
      envelope?.update();
    }
  };

  const draw = (): void => {
    if (strips === null || scene === null || axes === null) return;
    strips.temperature.update();
    const { data } = strips.temperature;
    strips.main.draw(data, looks, axes.axis, scene.temperatures);
    if (scene.lens !== null) strips.lens.draw(data, looks, scene.lens.x, scene.lens.y);
    if (strips.pressure !== null && axes.geometry.pressure !== null) {
      strips.pressure.envelope.update();
      strips.pressure.curves.draw(
        strips.pressure.envelope.data,
        [{ ...inks.pressure, alpha: 1 }],
        axes.axis,
        scene.pressures,
      );
    }
  };

  const placeStrips = ({ geometry }: Axes, { lens }: Scene): void => {
    if (strips === null) return;
    strips.main.place(geometry.plot);
    strips.lens.show(lens !== null);
    if (lens !== null) strips.lens.place(lens.box);
    strips.pressure?.curves.show(geometry.pressure !== null);
    if (geometry.pressure !== null) strips.pressure?.curves.place(geometry.pressure);
  };

  return {
    axes: () => axes,
    layOut(view, place, chosen, inspect, dragged, annotations = []) {
      const size = host.getBoundingClientRect();
      const store = source();
      if (size.width < 60 || size.height < 60 || store === null) return;
      strips = stripsFor(view);
      if (strips === null) return;
      axes = planAxes(view, place, size.width, size.height, inspect);
      aim(view, axes, inspect);
      const drawn = drawOrder(view);
      const alarmed = alarmedChannels(store);
      const leading =
        chosen ?? view.temperatures.find((channel) => alarmed.has(channel.layout.id))?.layout.id ?? view.deciding;
      const lost = store.link.kind === "lost";
      const run = `${view.layout.session}/${view.run?.number ?? ""}`;
      const memory: SceneMemory = scene === null || run !== sceneRun ? { gate: null, lens: null } : scene;
      sceneRun = run;
      const valueAt = (channel: ChannelView, at_s: number): number | null =>
        store.traces === null ? null : readingAt(store.traces, channel.index, view.originMs + at_s * 1000);
      const { data } = strips.temperature;
      const pressureData = strips.pressure?.envelope.data ?? null;
      scene = planScene({
        ...axes,
        view,
        place,
        data,
        drawn,
        pressureData,
        lost,
        stateMs: store.state?.t ?? null,
        marks: store.traces?.marks ?? [],
        memory,
        inspect,
        dragged,
        annotations,
        leading: view.temperatures.find((channel) => channel.layout.id === leading) ?? null,
        valueAt,
        texts,
      });
      looks = drawn.map((channel) => {
        const ink = inkOf(inks, channel.layout.role, channel.style);
        const leads = channel.layout.id === leading;
        return { ...ink, width: leads ? inks.decidingWidth : ink.width, alpha: chosen === null || leads ? 1 : 0.3 };
      });
      placeStrips(axes, scene);
      draw();
      host.querySelector("svg")?.setAttribute("viewBox", `0 0 ${axes.geometry.width} ${axes.geometry.height}`);
      render(frameLayer(scene.frame), frameRoot);
      labels.update(
        place === "phone" || place === "wall"
          ? []
          : labelRows({
              ...axes,
              ...scene,
              view,
              place,
              data,
              drawn,
              leading,
              chosen,
              alarmed,
              lost,
              cursor_s: inspect.cursor_s,
              texts,
              valueAt,
            }),
      );
    },
    frame: draw,
    restyle() {
      inks = readInks();
    },
  };
}
