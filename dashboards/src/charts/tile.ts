import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { CellStore } from "../state/cellStore";
import { tileShape } from "../state/tileShape";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import { type Range, temperatureRange } from "./geometry";
import { ribbonPieces } from "./ribbon";

export interface TileInput {
  readonly store: CellStore;
  readonly view: CellView;
  readonly width: number;
  readonly height: number;
  readonly texts: Texts;
}

/** Width of a column of the drawing, px. */
const columnPx = 2;
const ribbonHeight = 8;
/** Room below the curves: two ribbons with their brackets. */
const below = 2 * ribbonHeight + 18;

function curve(channel: ChannelView, input: TileInput, x: (s: number) => number, y: (degC: number) => number): string {
  const { store, view, width } = input;
  if (store.traces === null) return "";
  const columnMs = (view.length_s * 1000 * columnPx) / width;
  const until = view.run?.end ?? Number.POSITIVE_INFINITY;
  const columns = tileShape(store.traces, channel.index, view.originMs, columnMs, until);
  // A slow channel has a reading in every second column only; that is no outage.
  const reach = Math.max(1, Math.ceil(store.traces.gapMs[channel.index] / columnMs));
  let path = "";
  let last = Number.NEGATIVE_INFINITY;
  columns.forEach((value, i) => {
    if (value === null) return;
    const at = x(((i + 0.5) * columnMs) / 1000).toFixed(1);
    path += `${i - last > reach ? "M" : "L"}${at} ${y(value).toFixed(1)}`;
    last = i;
  });
  return path;
}

function torn(at: number, width: number, height: number): TemplateResult {
  let path = `M${at} 0`;
  for (let y = 0, side = 1; y < height; y += 10, side = -side)
    path += `L${at + (side > 0 ? 5 : -4)} ${Math.min(y + 10, height)}`;
  return svg`<g data-testid="tile-torn"><path class="beyond" d=${`${path}L${width} ${height}L${width} 0Z`}></path><path class="tear" d=${path}></path></g>` as TemplateResult;
}

/** A run as a tile shows it: its curves, where now is in it, its phases; and what the page cannot know. */
export function tileDrawing(input: TileInput): TemplateResult {
  const { store, view, width, height, texts } = input;
  const plot = height - below;
  const { spec, usualPhases } = view.layout;
  const range: Range = temperatureRange(20, 20, Math.max(240, spec?.liquidus ?? 0));
  const x = (s: number): number => (s / Math.max(view.length_s, 1)) * width;
  const y = (degC: number): number => (1 - (degC - range.min) / (range.max - range.min)) * plot;
  const lost = store.link.kind === "lost";
  const now = Math.min(x(view.elapsed_s), width - 1);
  const running = view.mode === "running";
  const silent = !lost && running ? view.temperatures.filter((channel) => channel.stale) : [];
  const since = Math.max(0, ...silent.map((channel) => channel.ageMs).filter(Number.isFinite)) / 1000;
  const ribbon = (track: "thermal" | "vacuum", top: number) =>
    ribbonPieces(
      track,
      view.run?.phases ?? [],
      usualPhases,
      view.originMs,
      view.elapsed_s,
      view.mode !== "finished",
    ).map((piece) => {
      const from = x(piece.from_s);
      const to = Math.min(x(piece.to_s), width);
      if (to - from < 1) return nothing;
      return svg`<rect class=${piece.kind === "future" ? "future" : "past"} x=${from + 0.5} y=${top + 0.5} width=${to - from - 1} height=${ribbonHeight - 1}></rect>
          ${piece.kind === "present" ? svg`<rect class="present" x=${from} y=${top} width=${to - from} height="2"></rect>` : nothing}`;
    });
  return html`<svg class="tile-drawing" width=${width} height=${height} viewBox=${`0 0 ${width} ${height}`} role="img" aria-label=${texts.floor.drawing(view.temperatures.length)}>
    ${
      spec === null
        ? nothing
        : svg`<line class="liquidus" x1="0" x2=${width} y1=${y(spec.liquidus)} y2=${y(spec.liquidus)}></line><text class="second" x="0" y=${y(spec.liquidus) - 5}>${texts.floor.liquidus}</text>`
    }
    ${
      view.mode === "waiting"
        ? nothing
        : view.temperatures
            .filter((channel) => channel.style > 0 || channel.layout.role === "vapour")
            .map((channel) => {
              const ink = channel.style > 0 ? `ink-${channel.style}` : `ink-${channel.layout.role}`;
              return svg`<g class=${ink}><path class="tile-curve swatch" d=${curve(channel, input, x, y)}></path></g>`;
            })
    }
    ${ribbon("thermal", plot + 8)} ${ribbon("vacuum", plot + 8 + ribbonHeight + 3)}
    ${since > 1 ? svg`<rect class="tile-silent" data-testid="tile-hatch" fill="url(#bar-hatch)" x=${Math.max(0, x(view.elapsed_s - since))} y="0" width=${Math.max(3, x(Math.min(since, view.elapsed_s)))} height=${plot}></rect>` : nothing}
    ${lost ? torn(now, width, height) : running ? svg`<line class="now-line" x1=${now} x2=${now} y1="0" y2=${height}></line>` : nothing}
  </svg>`;
}
