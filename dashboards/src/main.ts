import "uplot/dist/uPlot.min.css";
import "./styles/app.css";
import { startApp } from "./app";
import { askService } from "./feed/records";
import { openLiveHub } from "./feed/signalr";

void startApp({
  root: document.getElementById("app") as HTMLElement,
  open: (events) => openLiveHub("/hubs/live", events),
  ask: askService,
  clock: {
    nowMs: () => performance.now(),
    after: (waitMs, action) => {
      const timer = setTimeout(action, waitMs);
      return () => clearTimeout(timer);
    },
  },
  wallMs: () => Date.now(),
});
