import { html, nothing, type TemplateResult } from "lit-html";
import { attachControls } from "./controls";
import { follow, type PageClock } from "./feed/follow";
import type { OpenHubFunction } from "./feed/hub";
import { createPapers } from "./feed/papers";
import { type Ask, createRecords } from "./feed/records";
import { createAskDialog } from "./pages/askDialog";
import type { Sending } from "./pages/promptBar";
import { createShell, type Here } from "./pages/shell";
import { urgentBar } from "./pages/urgentBar";
import type { Surroundings, Visit } from "./places/context";
import type { Followed } from "./places/floorPlace";
import { createPlaces, type Places } from "./places/places";
import { createAskedAgain } from "./state/askedAgain";
import { type CarrierNow, carriersOf } from "./state/carriers";
import { createCellStore } from "./state/cellStore";
import { personHere } from "./state/person";
import { keepPreferences, type Preferences, readingOf, readPreferences } from "./state/preferences";
import { prompts } from "./state/prompt";
import type { Prompt } from "./state/promptTypes";
import type { RecordRoom } from "./state/recordRoom";
import { addressOf, type Route, routeOf } from "./state/route";
import { createRunCache } from "./state/runCache";
import { createRunPapers } from "./state/runPapers";
import { type CellView, viewCell } from "./state/view";
import { readAs } from "./texts/format";
import { textsOf } from "./texts/languages";

export interface AppOptions {
  readonly root: HTMLElement;
  readonly open: OpenHubFunction;
  readonly ask: Ask;
  readonly clock: PageClock;
  /** Time of the day, ms since 1970. */
  readonly wallMs: () => number;
}

/** After so long the other places are fetched, ms: the first curve stands by then. */
const laterMs = 1500;

/** Numbers change at most this often, ms. */
const refreshMs = 250;

/** Starts the application in an element; the service comes from outside. */
export async function startApp(options: AppOptions): Promise<void> {
  const { root, clock } = options;
  let preferences = readPreferences();
  readAs(readingOf(preferences));
  const texts = await textsOf(preferences.language);
  const store = createCellStore();
  let route: Route = routeOf(location.hash);
  /** Whose run somebody asked for; null: the one that began last. */
  let carrier: string | null = null;
  let sending: Sending | null = null;
  let announced = "";
  let drawDue = false;
  let layoutDue = false;
  let laidOutAtMs = Number.NEGATIVE_INFINITY;
  let view: CellView | null = null;
  let shownPrompts: readonly Prompt[] = [];

  document.documentElement.lang = texts.language;
  let places: Places | null = null;
  const shell = createShell(root, texts, {
    changed: () => {
      for (const visit of Object.values(places?.visits ?? {})) visit.restyle();
      // Paper does not wait for the next frame of a screen.
      if (shell.printing()) layOut();
      else relay();
    },
    preferences: () => preferences,
    choose,
  });
  const records = createRecords(options.ask);
  const paperFeed = createPapers(options.ask);
  const around: Surroundings = {
    page: shell.page,
    texts,
    records,
    runs: createRunCache(records),
    papers: createRunPapers(paperFeed, clock.nowMs, relay),
    paperFeed,
    after: clock.after,
    dialog: createAskDialog(shell.asks, texts),
    dialogs: shell.more,
    ask: options.ask,
    live: store,
    place: shell.place,
    clockMs: () => (view !== null && view.nowMs !== null && store.link.kind !== "lost" ? view.nowMs : options.wallMs()),
    nowMs: clock.nowMs,
    relay,
    go: (next) => {
      location.hash = addressOf(next);
    },
    instead: (next) => location.replace(addressOf(next)),
    note: (next) => history.replaceState(null, "", addressOf(next)),
    links,
    urgent: () => urgentBar(shownPrompts, texts, view?.layout.cell ?? null),
  };
  const now = () => ({ view, prompts: shownPrompts, sending });
  const asked = <T>(address: string, read: (answer: unknown) => T) =>
    createAskedAgain(options.ask, address, read, clock.nowMs, relay);
  const feeds = asked("/api/v1/feeds", (answer) => (answer as { readonly feeds: readonly unknown[] }).feeds.length > 0);
  const room = asked("/api/v1/record", (answer) => answer as RecordRoom);
  const all = createPlaces(around, {
    now,
    acknowledge,
    give: (order) => follower.order(order),
    carriers,
    chooseCarrier,
    followAlso,
  });
  places = all;
  const here = (): Visit<Route> => all.visits[route.place];

  const follower = follow({
    store,
    open: options.open,
    clock,
    cell: route.cell,
    random: Math.random,
    changed: (what) => {
      if (what !== "scan") layoutDue = true;
      schedule();
    },
  });

  /** Follows another cell beside, for the floor. */
  function followAlso(cell: number): Followed {
    const other = createCellStore();
    const { stop } = follow({ store: other, open: options.open, clock, cell, random: Math.random, changed: schedule });
    return { store: other, stop };
  }

  const whereabouts = (): Here => ({
    at: route.place,
    alarms: store.state?.alarms.length ?? 0,
    cell: route.cell,
    feeds: feeds(true) === true,
  });

  function schedule(): void {
    if (drawDue) return;
    drawDue = true;
    requestAnimationFrame(() => {
      drawDue = false;
      if (layoutDue || clock.nowMs() - laidOutAtMs >= refreshMs) layOut();
      else if (route.place === "cell") all.cell.frame();
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
    view = viewCell(store, nowMs, null, carrier);
    all.cell.follow(view);
    shownPrompts = prompts(
      {
        view,
        link: store.link,
        alarms: store.state?.alarms ?? [],
        devices: store.state?.devices ?? [],
        nowMs,
        wallMs: options.wallMs(),
        comparison:
          view?.mode === "finished" && view.run !== null
            ? (around.papers.known(view.layout.cell, view.run.number)?.comparison ?? null)
            : null,
        room: room(store.link.kind !== "lost"),
      },
      texts,
    );
    if (sending !== null && !shownPrompts.some((prompt) => prompt.alarm?.id === sending?.alarmId)) sending = null;
    const title = here().title();
    const name = view?.layout.name ?? texts.product;
    document.title = texts.title(title === "" ? name : `${title} · ${name}`, view?.layout.demo === true);
    const live = route.place === "cell";
    shell.frame.dataset.mode = live ? (view?.mode ?? "opening") : "stored";
    shell.frame.dataset.link = live ? store.link.kind : "";
    shell.frame.classList.toggle("stale", live && view?.stale === true);
    shell.rail(whereabouts());
    here().layOut();
    announce();
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
    const by = personHere() || texts.alarm.by;
    follower
      .order((orders, cell) => orders.acknowledge(cell, alarm.id, by, ""))
      .catch(() => {
        sending = { alarmId: alarm.id, state: "failed" };
        relay();
      });
  }

  /** Lays out anew at the next frame of the screen. */
  function relay(): void {
    layoutDue = true;
    schedule();
  }

  function carriers(): readonly CarrierNow[] {
    return carriersOf(store.state?.runs ?? [], store.state?.alarms ?? []);
  }

  function chooseCarrier(next: string): void {
    carrier = next;
    relay();
  }

  function choose(next: Preferences): void {
    const other = next.language !== preferences.language;
    preferences = next;
    keepPreferences(next);
    readAs(readingOf(next));
    // Every word is another one: begin anew with them.
    if (other) location.reload();
    relay();
  }

  /** Links for pages without a rail. */
  function links(): TemplateResult | typeof nothing {
    if (shell.place() === "desk" || shell.place() === "wall") return nothing;
    return html`<nav class="head-places" aria-label=${texts.places.label}>${shell.places(whereabouts())}<button type="button" class="keys-button" @click=${shell.openKeys} aria-label=${texts.settings.button}>?</button></nav>`;
  }

  attachControls({
    around,
    here,
    prompts: () => shownPrompts,
    acknowledge,
    cell: () => route.cell,
    openKeys: shell.openKeys,
    nextLook: shell.nextLook,
    otherTime: () => choose({ ...preferences, utc: !preferences.utc }),
  });
  addEventListener("hashchange", () => {
    const next = routeOf(location.hash);
    // Another cell has other channels and another history: begin anew with it.
    if (next.cell !== null && next.cell !== route.cell && store.layout !== null && next.cell !== store.layout.cell)
      location.reload();
    here().leave();
    route = next;
    here().enter(next);
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
  here().enter(route);
  schedule();
  // Once the first page stands there is time for the others: a press then has nothing to wait for.
  clock.after(laterMs, () => void all.later().catch(() => undefined));
}
