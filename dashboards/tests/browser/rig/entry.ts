import "uplot/dist/uPlot.min.css";
import "../../../src/styles/app.css";
import { startApp } from "../../../src/app";
import type { OpenHub, OpenHubFunction } from "../../../src/feed/hub";
import { ScriptedFeeds } from "./scriptedFeeds";
import { ScriptedHub } from "./scriptedHub";
import { ScriptedRecord } from "./scriptedRecord";

// The application as it is, with a service that is played in the page. The address says what it plays:
// at=SECONDS of the run, history=0, usual=0, spec=0, peak=LIMIT, pump=slow, live=0 (time stands still).
const asked = new URLSearchParams(location.search);
const flag = (name: string): boolean => asked.get(name) !== "0";
const hub = new ScriptedHub({
  name: "Cell 2",
  history: flag("history"),
  usual: flag("usual"),
  spec: flag("spec"),
  idle: asked.get("idle") === "1",
  peakLimit: Number(asked.get("peak") ?? 245),
  slowPump: asked.get("pump") === "slow",
});
// A service that never answers.
if (asked.get("never") === "1") hub.cut();
const at = asked.get("at");
if (at !== null) {
  if (flag("history")) hub.load();
  hub.play(Number(at));
}
// Other cells of the same service: where each is in its run, s.
const others = [120, 245, 60, 300, 215].slice(0, Math.max(0, Number(asked.get("cells") ?? 1) - 1)).map((seconds, i) => {
  const other = new ScriptedHub(
    { name: `Cell ${i + 3}`, history: true, usual: true, spec: true, idle: false, peakLimit: 245, slowPump: false },
    i + 2,
  );
  other.load();
  other.play(seconds);
  return other;
});
let live = asked.get("live") === "1";
let last = performance.now();
let owed = 0;
setInterval(() => {
  const nowMs = performance.now();
  if (live) {
    owed += (nowMs - last) / 1000;
    const whole = Math.floor(owed * 10) / 10;
    if (whole > 0) for (const one of [hub, ...others]) one.play(whole);
    owed -= whole;
  }
  last = nowMs;
}, 50);

const record = new ScriptedRecord(hub, Number(asked.get("newest") ?? 212), Number(asked.get("oldest") ?? 100));
if (asked.get("disk") === "low") record.room = { ...record.room, freeBytes: 2.4e9, daysLeft: 3.4, roomIsLow: true };
record.delayMs = Number(asked.get("slow") ?? 0);

const feeds = new ScriptedFeeds(Number(asked.get("feeds") ?? 0), () => hub.layout().now);

declare global {
  interface Window {
    rig: ScriptedHub;
    others: ScriptedHub[];
    record: ScriptedRecord;
    feeds: ScriptedFeeds;
    setLive: (on: boolean) => void;
  }
}
window.rig = hub;
window.others = others;
window.record = record;
window.feeds = feeds;
window.setLive = (on) => {
  live = on;
};

/** One service with several cells: each question goes to the cell that it names. */
const open: OpenHubFunction = async (events) => {
  const first = await hub.open(events);
  const of = async (cell: number): Promise<OpenHub> => {
    const other = others.find((one) => one.cell === cell);
    return other === undefined ? first : other.open(events);
  };
  return {
    ...first,
    layout: async (cell) => (await of(cell)).layout(cell),
    since: async (cell, seq) => (await of(cell)).since(cell, seq),
    follow: async (cell) => (await of(cell)).follow(cell),
  };
};

void startApp({
  root: document.getElementById("app") as HTMLElement,
  open,
  ask: async (path, signal, sent) =>
    path === "/api/v1/cells"
      ? { cells: [hub, ...others].map((one) => ({ cell: one.cell, name: one.layout().name })) }
      : path.startsWith("/api/v1/feeds")
        ? feeds.answer(path, sent)
        : record.ask(path, signal, sent),
  clock: {
    nowMs: () => performance.now(),
    after: (waitMs, action) => {
      const timer = setTimeout(action, waitMs);
      return () => clearTimeout(timer);
    },
  },
  wallMs: () => Date.now(),
});
