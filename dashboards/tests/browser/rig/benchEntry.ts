import "uplot/dist/uPlot.min.css";
import uPlot from "uplot";
import { createCurves } from "../../../src/charts/curves";
import { createEnvelope } from "../../../src/state/envelope";
import { createTraces } from "../../../src/state/traces";
import { noise } from "./model";

const width = 1600;
const height = 600;
const series = 16;
const root = document.getElementById("app") as HTMLElement;

/** A board-like value with a little noise, in steps of 0.01, repeating every six minutes. */
const jitter = noise(5);
function value(i: number, s: number): number {
  const t = (i % 3600) / 10;
  const base =
    t < 90
      ? 25 + 1.4 * t
      : t < 170
        ? 151 + 0.25 * (t - 90)
        : t < 220
          ? 171 + 1.4 * (t - 170)
          : t < 240
            ? 241
            : Math.max(40, 241 - 2.2 * (t - 240));
  return Math.round((base * (1 - 0.01 * s) + jitter() * 0.2) * 100) / 100;
}

interface Live {
  /** Script, ms a second. */
  readonly msPerSecond: number;
  /** Part of the time in which the page's main thread had anything to do. */
  readonly threadShare: number;
  readonly framesPerSecond: number;
}

/** Sets new data ten times a second for some seconds; counts the script time, the main thread's, and the frames. */
async function live(set: (k: number) => void, seconds: number): Promise<Live> {
  let frames = 0;
  let running = true;
  const count = (): void => {
    frames++;
    if (running) requestAnimationFrame(count);
  };
  const busyBefore_s = await window.busyNow();
  requestAnimationFrame(count);
  let busy = 0;
  let sets = 0;
  const started = performance.now();
  await new Promise<void>((resolve) => {
    const timer = setInterval(async () => {
      const begun = performance.now();
      if (begun - started > seconds * 1000) {
        clearInterval(timer);
        resolve();
        return;
      }
      set(++sets);
      await Promise.resolve(); // uPlot draws in a microtask
      busy += performance.now() - begun;
    }, 100);
  });
  const length_s = (performance.now() - started) / 1000;
  running = false;
  return {
    msPerSecond: (busy / sets) * 10,
    threadShare: ((await window.busyNow()) - busyBefore_s) / length_s,
    framesPerSecond: frames / length_s,
  };
}

async function ours(points: number, seconds: number): Promise<Live> {
  const traces = createTraces(points + 1000, new Array(series).fill(1000));
  const push = (i: number): void => {
    const values = Float32Array.from({ length: series }, (_, s) => value(i, s));
    traces.append({ seq: i, t: i * 100, values, qualities: new Uint8Array(series) });
  };
  for (let i = 0; i < points; i++) push(i);
  const indices = Array.from({ length: series }, (_, s) => s);
  const envelope = createEnvelope(traces, indices);
  const curves = createCurves(root, series, false, "bench");
  curves.place({ left: 0, top: 0, width, height });
  const x = { min: 0, max: points / 10 + 10 };
  envelope.aim(0, 0, Number.POSITIVE_INFINITY, (x.max * 1000) / width < 200 ? 0 : (x.max * 1000) / width);
  const looks = indices.map((s) => ({ stroke: `hsl(${s * 22} 70% 45%)`, dash: [], width: 1, alpha: 1 }));
  const draw = (): void => {
    envelope.update();
    curves.draw(envelope.data, looks, x, { min: 20, max: 260 });
  };
  draw();
  const result = await live((k) => {
    push(points + k);
    draw();
  }, seconds);
  curves.destroy();
  return result;
}

async function plain(points: number, seconds: number): Promise<Live> {
  const all = points + 64;
  const x = Float64Array.from({ length: all }, (_, i) => i / 10);
  const ys = Array.from({ length: series }, (_, s) => Float64Array.from({ length: all }, (_, i) => value(i, s)));
  const slide = (k: number) =>
    [x.subarray(k, all - 64 + k), ...ys.map((y) => y.subarray(k, all - 64 + k))] as uPlot.AlignedData;
  const plot = new uPlot(
    {
      width,
      height,
      legend: { show: false },
      cursor: { show: false },
      scales: { x: { time: false } },
      series: [{}, ...ys.map((_, s) => ({ stroke: `hsl(${s * 22} 70% 45%)`, width: 1, points: { show: false } }))],
    },
    slide(0),
    root,
  );
  const result = await live((k) => plot.setData(slide(k % 64)), seconds);
  plot.destroy();
  return result;
}

/** A canvas and nothing else: every point of every curve as a line, no axes, no gaps, no scales of its own. */
async function bare(points: number, seconds: number): Promise<Live> {
  const all = points + 64;
  const ys = Array.from({ length: series }, (_, s) => Float64Array.from({ length: all }, (_, i) => value(i, s)));
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  root.append(canvas);
  const context = canvas.getContext("2d") as CanvasRenderingContext2D;
  const draw = (k: number): void => {
    context.clearRect(0, 0, width, height);
    context.lineWidth = 1;
    for (const [s, y] of ys.entries()) {
      context.strokeStyle = `hsl(${s * 22} 70% 45%)`;
      context.beginPath();
      for (let i = 0; i < points; i++) context.lineTo((i / points) * width, height * (1 - (y[i + k] - 20) / 240));
      context.stroke();
    }
  };
  draw(0);
  const result = await live((k) => draw(k % 64), seconds);
  canvas.remove();
  return result;
}

declare global {
  interface Window {
    /** Told by the browser: seconds in which the main thread was at work so far. */
    busyNow: () => Promise<number>;
    bench: { ours: typeof ours; plain: typeof plain; bare: typeof bare };
  }
}
window.bench = { ours, plain, bare };
