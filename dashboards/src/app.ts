import { html, render } from "lit-html";
import type { Place } from "./charts/geometry";
import { attachPointer } from "./charts/pointer";
import { createRunSheet } from "./charts/runSheet";
import { follow, type PageClock } from "./feed/follow";
import type { OpenHubFunction } from "./feed/hub";
import { cellPage } from "./pages/cellPage";
import { attachKeyboard } from "./pages/keyboard";
import { keysDialog } from "./pages/keysDialog";
import type { Sending } from "./pages/promptBar";
import { alarmedChannels, createCellStore } from "./state/cellStore";
import { type Inspect, noInspect, point, zoom } from "./state/inspect";
import { drawnTheme, placeFor, type Theme, themes } from "./state/look";
import { prompts } from "./state/prompt";
import type { Prompt } from "./state/promptTypes";
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
const themeKey = "thermowatch.theme";

/** Starts the application in an element; the service's hub comes from outside. */
export function startApp(options: AppOptions): void {
  const { root, clock } = options;
  const texts = en;
  const address = new URL(location.href);
  const asked = address.searchParams.get("place");
  const cellAsked = /^#\/cell\/(\d+)/.exec(address.hash)?.[1];
  const store = createCellStore();
  const sheetElement = document.createElement("div");
  sheetElement.className = "sheet";
  let theme: Theme = readTheme();
  let place: Place = "desk";
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
  root.innerHTML = `<div class="shell"><nav class="rail"></nav><main class="page"></main></div><div class="sr-only" role="status" aria-live="polite"></div><div class="sr-only" role="alert"></div><div class="dialogs"></div><svg class="sr-only" aria-hidden="true"><defs><pattern id="bar-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch-line" x1="0" y1="0" x2="0" y2="6"></line></pattern></defs></svg>`;
  const rail = root.querySelector(".rail") as HTMLElement;
  const page = root.querySelector(".page") as HTMLElement;
  const polite = root.querySelector("[role=status]") as HTMLElement;
  const urgent = root.querySelector("[role=alert]") as HTMLElement;
  const dialogs = root.querySelector(".dialogs") as HTMLElement;
  applyLook();
  const sheet = createRunSheet(sheetElement, store, texts, choose);

  const follower = follow({
    store,
    open: options.open,
    clock,
    cell: cellAsked === undefined ? null : Number(cellAsked),
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
      else sheet.frame();
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
    const shell = root.firstElementChild as HTMLElement;
    shell.dataset.mode = view?.mode ?? "opening";
    shell.dataset.link = store.link.kind;
    shell.classList.toggle("stale", view?.stale === true);
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
          clockMs: view?.nowMs !== null && view !== null && store.link.kind !== "lost" ? view.nowMs : options.wallMs(),
          columnWidth: barWidth(place, page.clientWidth),
          acknowledge,
          openKeys,
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
    if (shown !== null) sheet.layOut(shown, place, chosen, inspect, dragged);
    announce();
  }

  /** Says what changed, not every number: a countdown read aloud each second would help nobody. */
  function announce(): void {
    const first = shownPrompts[0];
    if (first.key === announced) return;
    announced = first.key;
    (first.tone === "act" ? urgent : polite).textContent = `${first.sentence} ${first.detail}`;
    if (first.tone !== "act") urgent.textContent = "";
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

  function applyLook(): void {
    const dark = matchMedia("(prefers-color-scheme: dark)").matches;
    const contrast = matchMedia("(prefers-contrast: more)").matches;
    place = placeFor(innerWidth, innerHeight, matchMedia("(pointer: coarse)").matches, asked);
    document.documentElement.dataset.theme = drawnTheme(theme, dark, contrast);
    document.documentElement.dataset.place = place;
    render(railTemplate(), rail);
    render(keysDialog(texts, theme, setTheme), dialogs);
  }

  function relook(): void {
    applyLook();
    sheet.restyle();
    layoutDue = true;
    schedule();
  }

  function setTheme(next: Theme): void {
    theme = next;
    try {
      localStorage.setItem(themeKey, next);
    } catch {
      // A browser that keeps nothing still shows the look that was chosen.
    }
    relook();
  }

  function openKeys(): void {
    const dialog = dialogs.querySelector("dialog");
    if (dialog?.open === false) dialog.showModal();
  }

  function railTemplate() {
    return html`<a href="#main" class="place" aria-current="page"><svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true"><path d="M1 13C5 13 5 4 8 4s3 9 7 9"></path></svg>${texts.places.cell}</a>
      <button type="button" class="rail-foot" @click=${openKeys}>${texts.keysHint}</button>`;
  }

  function stepChannel(by: 1 | -1): void {
    const ids = view?.temperatures.map((channel) => channel.layout.id) ?? [];
    if (ids.length === 0) return;
    const at = chosen === null ? (by > 0 ? -1 : ids.length) : ids.indexOf(chosen);
    chosen = ids[(at + by + ids.length) % ids.length];
    relay();
  }

  function look(next: Inspect): void {
    if (next === inspect) return;
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
    listKeys: openKeys,
    acknowledgeFirst: () => {
      const first = shownPrompts.find((prompt) => prompt.alarm !== null);
      if (first !== undefined) acknowledge(first);
    },
    nextLook: () => setTheme(themes[(themes.indexOf(theme) + 1) % themes.length]),
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
    axes: () => sheet.axes(),
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
  addEventListener("resize", relook);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", relook);
  matchMedia("(prefers-contrast: more)").addEventListener("change", relook);
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

function readTheme(): Theme {
  try {
    return themes.find((name) => name === localStorage.getItem(themeKey)) ?? "auto";
  } catch {
    return "auto";
  }
}
