import { html, nothing, render } from "lit-html";
import type { Place } from "./charts/geometry";
import { attachPointer } from "./charts/pointer";
import { createRunSheet, type RunSheet } from "./charts/runSheet";
import { follow, type PageClock } from "./feed/follow";
import type { OpenHubFunction } from "./feed/hub";
import { alarmsPage, plainHead } from "./pages/alarmsPage";
import { cellPage } from "./pages/cellPage";
import { attachKeyboard } from "./pages/keyboard";
import type { Sending } from "./pages/promptBar";
import { createShell, places } from "./pages/shell";
import { alarmedChannels, createCellStore } from "./state/cellStore";
import { type Inspect, noInspect, point, zoom } from "./state/inspect";
import { prompts } from "./state/prompt";
import type { Prompt } from "./state/promptTypes";
import { routeOf } from "./state/route";
import { type CellView, viewCell } from "./state/view";
import { en } from "./texts/en";

export interface AppOptions {
  readonly root: HTMLElement;
  readonly open: OpenHubFunction;
  readonly clock: PageClock;
  /** Time of the day, ms since 1970. */
  readonly wallMs: () => number;
}

/** Numbers change at most this often, ms. */
const refreshMs = 250;

/** Starts the application in an element; the service's hub comes from outside. */
export function startApp(options: AppOptions): void {
  const { root, clock } = options;
  const texts = en;
  const store = createCellStore();
  const sheetElement = document.createElement("div");
  sheetElement.className = "sheet";
  let { route, cell } = routeOf(location.hash);
  let chosen: string | null = null;
  let deciding: string | null = null;
  let sending: Sending | null = null;
  let announced = "";
  let drawDue = false;
  let layoutDue = false;
  let laidOutAtMs = Number.NEGATIVE_INFINITY;
  let view: CellView | null = null;
  let shownPrompts: readonly Prompt[] = [];
  let inspect: Inspect = noInspect;
  let dragged: readonly [number, number] | null = null;
  /** The view that the picture is held at; null while it goes on. */
  let held: CellView | null = null;

  document.documentElement.lang = texts.language;
  let sheet: RunSheet | null = null;
  const shell = createShell(root, texts, () => {
    sheet?.restyle();
    relay();
  });
  const { page } = shell;
  sheet = createRunSheet(sheetElement, store, texts, choose);

  const follower = follow({
    store,
    open: options.open,
    clock,
    cell,
    random: Math.random,
    changed: (what) => {
      if (what !== "scan") layoutDue = true;
      schedule();
    },
  });

  function schedule(): void {
    if (drawDue) return;
    drawDue = true;
    requestAnimationFrame(() => {
      drawDue = false;
      const nowMs = clock.nowMs();
      if (layoutDue || nowMs - laidOutAtMs >= refreshMs) layOut();
      else if (route === "cell") sheet?.frame();
      if (store.traces !== null && store.traces.lastSeq >= 0)
        document.dispatchEvent(
          new CustomEvent("thermowatch:frame", { detail: { seq: store.traces.lastSeq, t: store.traces.lastTime } }),
        );
    });
  }

  function layOut(): void {
    layoutDue = false;
    const nowMs = clock.nowMs();
    laidOutAtMs = nowMs;
    view = viewCell(store, nowMs, deciding);
    // A held picture belongs to its run; the next one is not shown under its axis.
    if (held !== null && held.run?.number !== view?.run?.number) {
      held = null;
      inspect = noInspect;
    }
    deciding = view?.deciding ?? null;
    shownPrompts = prompts(
      {
        view,
        link: store.link,
        alarms: store.state?.alarms ?? [],
        devices: store.state?.devices ?? [],
        nowMs,
        wallMs: options.wallMs(),
      },
      texts,
    );
    if (sending !== null && !shownPrompts.some((prompt) => prompt.alarm?.id === sending?.alarmId)) sending = null;
    document.title = texts.title(view?.layout.name ?? texts.product, view?.layout.demo === true);
    shell.frame.dataset.mode = view?.mode ?? "opening";
    shell.frame.dataset.link = store.link.kind;
    shell.frame.classList.toggle("stale", view?.stale === true);
    shell.rail(route, store.state?.alarms.length ?? 0);
    if (route === "alarms") layOutAlarms();
    else layOutCell();
    announce();
  }

  const clockMs = (): number =>
    view !== null && view.nowMs !== null && store.link.kind !== "lost" ? view.nowMs : options.wallMs();

  function layOutAlarms(): void {
    const alarms = store.state?.alarms ?? [];
    const back =
      shell.place() === "desk"
        ? nothing
        : html`<span class="head-places">${places(route, alarms.length, texts)}</span>`;
    const head = plainHead(texts.alarms.heading, clockMs(), back);
    const urgent = shownPrompts.filter((prompt) => prompt.key.startsWith("link/"));
    render(
      alarmsPage({
        view,
        alarms,
        prompts: urgent,
        sending,
        clockMs: clockMs(),
        lost: store.link.kind === "lost",
        texts,
        head,
        acknowledge,
      }),
      page,
    );
  }

  function layOutCell(): void {
    const place = shell.place();
    render(
      cellPage(
        {
          view,
          prompts: shownPrompts,
          sending,
          place,
          texts,
          lost: store.link.kind === "lost",
          alarmed: alarmedChannels(store),
          alarmCount: store.state?.alarms.length ?? 0,
          clockMs: clockMs(),
          columnWidth: barWidth(place, page.clientWidth),
          acknowledge,
          openKeys: shell.openKeys,
          tools: {
            zoomed: inspect.window !== null,
            heldAt_s: inspect.frozen_s,
            zoom: (factor) => look(zoom(inspect, factor, middle(), length_s())),
            wholeRun: () => look({ ...noInspect, frozen_s: inspect.frozen_s }),
            freeze,
          },
        },
        sheetElement,
      ),
      page,
    );
    const shown = held ?? view;
    if (shown !== null) sheet?.layOut(shown, place, chosen, inspect, dragged);
  }

  /** Says what changed, not every number: a countdown read aloud each second would help nobody. */
  function announce(): void {
    const first = shownPrompts[0];
    if (first.key === announced) return;
    announced = first.key;
    shell.say(`${first.sentence} ${first.detail}`, first.tone === "act");
  }

  function acknowledge(prompt: Prompt): void {
    const { alarm } = prompt;
    if (alarm === null) return;
    sending = { alarmId: alarm.id, state: "sending" };
    relay();
    follower.acknowledge(alarm.id, texts.alarm.by, "").catch(() => {
      sending = { alarmId: alarm.id, state: "failed" };
      relay();
    });
  }

  /** Lays out anew at the next frame of the screen. */
  function relay(): void {
    layoutDue = true;
    schedule();
  }

  function choose(id: string): void {
    chosen = chosen === id ? null : id;
    relay();
  }

  function stepChannel(by: 1 | -1): void {
    const ids = view?.temperatures.map((channel) => channel.layout.id) ?? [];
    if (ids.length === 0) return;
    const at = chosen === null ? (by > 0 ? -1 : ids.length) : ids.indexOf(chosen);
    chosen = ids[(at + by + ids.length) % ids.length];
    relay();
  }

  function look(next: Inspect): void {
    const same = (Object.keys(next) as (keyof Inspect)[]).every((key) => next[key] === inspect[key]);
    if (same) return;
    inspect = next;
    relay();
  }

  /** Length that a closer look may reach over, s. */
  const length_s = (): number => (held ?? view)?.length_s ?? 1;
  const cursorOrNow = (): number => inspect.cursor_s ?? (held ?? view)?.elapsed_s ?? 0;

  /** Where buttons zoom to: the cursor, else the middle of what is shown. */
  const middle = (): number =>
    inspect.cursor_s ?? (inspect.window === null ? cursorOrNow() : (inspect.window.from_s + inspect.window.to_s) / 2);

  function freeze(): void {
    held = held === null ? view : null;
    look({ ...inspect, frozen_s: held?.elapsed_s ?? null });
  }

  attachKeyboard({
    listKeys: shell.openKeys,
    acknowledgeFirst: () => {
      const first = shownPrompts.find((prompt) => prompt.alarm !== null);
      if (first !== undefined) acknowledge(first);
    },
    nextLook: shell.nextLook,
    stepChannel,
    moveCursor: (by_s) =>
      look(point(inspect, Math.min(Math.round(cursorOrNow() + by_s), (held ?? view)?.elapsed_s ?? 0), length_s())),
    mark: () => look({ ...inspect, mark_s: inspect.mark_s === null ? cursorOrNow() : null, cursor_s: cursorOrNow() }),
    zoom: (factor) => look(zoom(inspect, factor, cursorOrNow(), length_s())),
    wholeRun: () => look({ ...noInspect, frozen_s: inspect.frozen_s }),
    freeze,
    back: () => {
      if (inspect.cursor_s !== null || inspect.mark_s !== null) look({ ...inspect, cursor_s: null, mark_s: null });
      else if (inspect.window !== null) look({ ...inspect, window: null });
      else if (held !== null) freeze();
      else if (chosen !== null) choose(chosen);
    },
  });
  attachPointer(sheetElement, {
    axes: () => sheet?.axes() ?? null,
    length_s,
    elapsed_s: () => (held ?? view)?.elapsed_s ?? 0,
    inspect: () => inspect,
    change: look,
    drag: (stretch) => {
      if (stretch === null && dragged === null) return;
      dragged = stretch;
      relay();
    },
  });
  addEventListener("hashchange", () => {
    const next = routeOf(location.hash);
    // Another cell has other channels and another history: begin anew with it.
    if (next.cell !== null && next.cell !== cell && next.cell !== store.layout?.cell) location.reload();
    ({ route, cell } = next);
    relay();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    follower.wake();
    layoutDue = true;
    schedule();
  });
  // Ages grow though nothing comes: the page must say so by its own clock.
  setInterval(schedule, refreshMs);
  schedule();
}

function barWidth(place: Place, pageWidth: number): number {
  if (place === "touch") return Math.floor((pageWidth - 24 - 2 * 24) / 3);
  if (place === "phone") return pageWidth - 24;
  return 372;
}
