import "uplot/dist/uPlot.min.css";
import "../../../src/styles/app.css";
import { startApp } from "../../../src/app";
import { ScriptedHub } from "./scriptedHub";
import { ScriptedRecord } from "./scriptedRecord";

// The application as it is, with a service that is played in the page. The address says what it plays:
// at=SECONDS of the run, history=0, usual=0, spec=0, peak=LIMIT, pump=slow, live=0 (time stands still).
const asked = new URLSearchParams(location.search);
const flag = (name: string): boolean => asked.get(name) !== "0";
const hub = new ScriptedHub({
  history: flag("history"),
  usual: flag("usual"),
  spec: flag("spec"),
  idle: asked.get("idle") === "1",
  peakLimit: Number(asked.get("peak") ?? 245),
  slowPump: asked.get("pump") === "slow",
});
const at = asked.get("at");
if (at !== null) {
  if (flag("history")) hub.load();
  hub.play(Number(at));
}
let live = asked.get("live") === "1";
let last = performance.now();
let owed = 0;
setInterval(() => {
  const nowMs = performance.now();
  if (live) {
    owed += (nowMs - last) / 1000;
    const whole = Math.floor(owed * 10) / 10;
    if (whole > 0) hub.play(whole);
    owed -= whole;
  }
  last = nowMs;
}, 50);

const record = new ScriptedRecord(hub, Number(asked.get("newest") ?? 212), Number(asked.get("oldest") ?? 100));
record.delayMs = Number(asked.get("slow") ?? 0);

declare global {
  interface Window {
    rig: ScriptedHub;
    record: ScriptedRecord;
    setLive: (on: boolean) => void;
  }
}
window.rig = hub;
window.record = record;
window.setLive = (on) => {
  live = on;
};

startApp({
  root: document.getElementById("app") as HTMLElement,
  open: (events) => hub.open(events),
  ask: record.ask,
  clock: {
    nowMs: () => performance.now(),
    after: (waitMs, action) => {
      const timer = setTimeout(action, waitMs);
      return () => clearTimeout(timer);
    },
  },
  wallMs: () => Date.now(),
});
