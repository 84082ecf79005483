import uPlot from "uplot";
import type { EnvelopeData } from "../state/envelope";
import type { Box, Range } from "./geometry";
import type { CurveInk } from "./inks";

/** How one curve is drawn now. */
export interface CurveLook extends CurveInk {
  /** 1: as its ink; less: stands back behind a chosen channel. */
  readonly alpha: number;
}

/** Curves in a box: only strokes. Axes, lines and labels are drawn once for all strips, in one layer above. */
export interface Curves {
  place(box: Box): void;
  draw(data: EnvelopeData, looks: readonly CurveLook[], x: Range, y: Range): void;
  show(visible: boolean): void;
  destroy(): void;
}

export function createCurves(host: HTMLElement, count: number, logarithmic: boolean, className: string): Curves {
  const element = document.createElement("div");
  element.className = `curves ${className}`;
  host.append(element);
  const looks: CurveLook[] = [];
  let size = { width: 100, height: 100 };
  let placed = "";
  const plot = new uPlot(
    {
      ...size,
      padding: [0, 0, 0, 0],
      legend: { show: false },
      cursor: { show: false },
      select: { show: false, left: 0, top: 0, width: 0, height: 0 },
      axes: [{ show: false }, { show: false }],
      scales: {
        x: { time: false, auto: false, min: 0, max: 1 },
        y: { auto: false, min: logarithmic ? 1 : 0, max: 10, distr: logarithmic ? 3 : 1 },
      },
      series: [
        {},
        ...Array.from(
          { length: count },
          (_, i): uPlot.Series => ({
            stroke: () => looks[i]?.stroke ?? "transparent",
            points: { show: false },
            spanGaps: false,
          }),
        ),
      ],
    },
    [[], ...Array.from({ length: count }, () => [])] as uPlot.AlignedData,
    element,
  );
  return {
    place(box) {
      const key = `${box.left} ${box.top} ${box.width} ${box.height}`;
      if (key === placed) return;
      placed = key;
      element.style.left = `${box.left}px`;
      element.style.top = `${box.top}px`;
      if (box.width !== size.width || box.height !== size.height) {
        size = { width: box.width, height: box.height };
        plot.setSize(size);
      }
    },
    draw(data, wanted, x, y) {
      for (let i = 0; i < count; i++) {
        looks[i] = wanted[i];
        const series = plot.series[i + 1];
        series.width = wanted[i].width;
        series.dash = wanted[i].dash;
        series.alpha = wanted[i].alpha;
      }
      plot.batch(() => {
        plot.setData([data.x, ...data.y] as uPlot.AlignedData, false);
        plot.setScale("x", { min: x.min, max: x.max });
        plot.setScale("y", { min: y.min, max: y.max });
      });
    },
    show(visible) {
      element.hidden = !visible;
    },
    destroy() {
      plot.destroy();
      element.remove();
    },
  };
}
