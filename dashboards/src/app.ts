import { html, nothing, render } from "lit-html";
import type { Place } from "./charts/geometry";
import { createRunSheet, type RunSheet } from "./charts/runSheet";
import { follow, type PageClock } from "./feed/follow";
import type { OpenHubFunction } from "./feed/hub";
import { alarmsPage, plainHead } from "./pages/alarmsPage";
import { cellPage } from "./pages/cellPage";
import { createInspector } from "./pages/inspector";
import { attachKeyboard } from "./pages/keyboard";
import type { Sending } from "./pages/promptBar";
import { createShell, places } from "./pages/shell";
import { alarmedChannels, createCellStore } from "./state/cellStore";
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
  /** Whose run somebody asked for; null: the one that began last. */
  let carrier: string | null = null;
  const deciding: string | null = null;
  let sending: Sending | null = null;
  let announced = "";
  let drawDue = false;
  let layoutDue = false;
  let laidOutAtMs = Number.NEGATIVE_INFINITY;
  let view: CellView | null = null;
  let shownPrompts: readonly Prompt[] = [];

  document.documentElement.lang = texts.language;
  let sheet: RunSheet | null = null;
  const shell = createShell(root, texts, () => {
    sheet?.restyle();
    relay();
  });
  const { page } = shell;
  const inspector = createInspector(sheetElement, () => sheet?.axes() ?? null, relay);
  sheet = createRunSheet(sheetElement, store, texts, inspector.choose);

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
    view = viewCell(store, nowMs, deciding, carrier);
    inspector.follow(view);
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
          carriers: carriers(),
          chooseCarrier,
          tools: inspector.tools,
        },
        sheetElement,
      ),
      page,
    );
    const shown = inspector.held ?? view;
    if (shown !== null) sheet?.layOut(shown, place, inspector.chosen, inspector.inspect, inspector.dragged);
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

  const carriers = (): readonly string[] => [...new Set((store.state?.runs ?? []).map((run) => run.carrier))].sort();

  function chooseCarrier(next: string): void {
    carrier = next;
    inspector.reset();
  }

  attachKeyboard({
    ...inspector,
    listKeys: shell.openKeys,
    acknowledgeFirst: () => {
      const first = shownPrompts.find((prompt) => prompt.alarm !== null);
      if (first !== undefined) acknowledge(first);
    },
    nextLook: shell.nextLook,
    nextCarrier: () => {
      const all = carriers();
      if (all.length > 1) chooseCarrier(all[(all.indexOf(view?.run?.carrier ?? "") + 1) % all.length]);
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
