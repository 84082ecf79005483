import { html, nothing, render } from "lit-html";
import { anyRun, type ListedRun, type RunFilter, type RunShape } from "../feed/records";
import { createUpkeep } from "../feed/upkeep";
import { rejudgePanel, rejudgeQuestion } from "../pages/rejudgePanel";
import { runsPage } from "../pages/runsPage";
import { storedHead } from "../pages/storedHead";
import { namingOf } from "../state/alarmPrompt";
import { createRejudging } from "../state/rejudging";
import { addressOf, type Route } from "../state/route";
import { createRunList } from "../state/runList";
import { specOf } from "../state/view";
import type { Surroundings, Visit } from "./context";

type RunsRoute = Extract<Route, { place: "runs" }>;

/** How many small drawings are fetched at once: the service reads each from its journal. */
const atOnce = 3;
/** Pause after a letter before it is searched for, ms. */
const typingMs = 250;

const isAny = (filter: RunFilter): boolean => Object.values(filter).every((value) => value === "");

/** The list of runs. */
export function createRunsPlace(around: Surroundings): Visit<RunsRoute> {
  const { texts, page } = around;
  const list = createRunList(around.records, around.nowMs, around.relay);
  const work = createRejudging(createUpkeep(around.ask), around.after, around.nowMs, around.relay);
  let route: RunsRoute = { place: "runs", cell: null, filter: anyRun, over: null };
  /** What the list was begun with; null: it is not begun. */
  let begun: string | null = null;
  let typing: ReturnType<typeof setTimeout> | null = null;
  const shapes = new Map<string, RunShape | "asked">();
  const wanted: ListedRun[] = [];
  let asking = 0;
  let gone = new AbortController();
  let hover: ReturnType<typeof setTimeout> | null = null;

  const cell = (): number | null => route.cell ?? around.live.layout?.cell ?? null;
  const keyOf = (run: ListedRun): string => `${run.cell}/${run.number}/${run.start}`;

  const askShapes = (): void => {
    while (asking < atOnce) {
      const run = wanted.shift();
      if (run === undefined) return;
      const key = keyOf(run);
      if (shapes.has(key)) continue;
      shapes.set(key, "asked");
      asking++;
      const { signal } = gone;
      around.records
        .shape(run, signal)
        .then(
          (shape) => {
            // A run that goes on has another shape a minute later.
            if (run.end === null) shapes.delete(key);
            else shapes.set(key, shape);
            around.relay();
          },
          () => shapes.delete(key),
        )
        .finally(() => {
          asking--;
          askShapes();
        });
    }
  };

  // What can be seen is drawn; what cannot is not asked for.
  const seen = new IntersectionObserver(
    (entries) => {
      for (const entry of entries) {
        if (!entry.isIntersecting) continue;
        const target = entry.target as HTMLElement;
        // Only a foot that offers more; the one that says that something is on its way is seen at first, too.
        if (target.classList.contains("list-foot")) {
          if (target.isConnected && target.classList.contains("more")) list.next();
          continue;
        }
        const run = list.items.find((candidate) => String(candidate.number) === target.dataset.run);
        if (run !== undefined && run.end !== null && !shapes.has(keyOf(run))) wanted.push(run);
      }
      askShapes();
    },
    { rootMargin: "200px" },
  );

  const rows = (): HTMLElement[] => [...page.querySelectorAll<HTMLElement>(".run-row")];
  const step = (by: number): void => {
    const all = rows();
    const at = all.indexOf(document.activeElement as HTMLElement);
    const next = at < 0 ? (by > 0 ? 0 : all.length - 1) : Math.min(Math.max(at + by, 0), all.length - 1);
    all[next]?.focus();
    if (next >= all.length - 3) list.next();
  };
  const begin = (): void => {
    const of = cell();
    if (of === null) return;
    const key = JSON.stringify([of, route.filter]);
    if (begun === key) return;
    begun = key;
    list.begin({ cell: of, filter: route.filter });
  };
  const search = (filter: RunFilter): void => {
    const atOnceToo = filter.verdict !== route.filter.verdict || filter.decision !== route.filter.decision;
    route = { ...route, filter };
    around.note(route);
    if (typing !== null) clearTimeout(typing);
    if (atOnceToo) begin();
    else typing = setTimeout(begin, typingMs);
    around.relay();
  };
  const pointAt = (event: Event): void => {
    const number = (event.target as Element).closest<HTMLElement>(".run-row")?.dataset.run;
    const run = list.items.find((candidate) => String(candidate.number) === number);
    if (hover !== null) clearTimeout(hover);
    if (run === undefined || run.end === null) return;
    // Whoever rests on a row is about to press it.
    hover = setTimeout(
      () => void around.runs.get(run.cell, run.number).catch(() => undefined),
      event.type === "pointerdown" ? 0 : 80,
    );
  };
  const askRejudge = (): void => {
    const of = cell();
    const { layout } = around.live;
    if (of !== null && layout !== null)
      around.dialog.ask(rejudgeQuestion(layout, texts, (order) => work.begin(of, order)));
  };
  const observed = new WeakSet<Element>();

  return {
    enter(next) {
      route = next;
      // Coming back to a list shows it as it was left; the newest run may be missing then, so it begins anew when one has ended.
      gone = new AbortController();
      const newest = Math.max(
        0,
        ...(around.live.state?.runs ?? []).filter((run) => run.end !== null).map((run) => run.number),
      );
      if (
        isAny(route.filter) &&
        list.items.length > 0 &&
        newest > 0 &&
        !list.items.some((run) => run.number === newest && run.end !== null)
      )
        begun = null;
      begin();
      for (const type of ["pointerover", "focusin", "pointerdown"]) page.addEventListener(type, pointAt);
    },
    leave() {
      gone.abort();
      wanted.length = 0;
      if (hover !== null) clearTimeout(hover);
      if (list.asked.kind !== "here") begun = null;
      for (const type of ["pointerover", "focusin", "pointerdown"]) page.removeEventListener(type, pointAt);
    },
    layOut() {
      begin();
      const layout = around.live.layout;
      const place = around.place();
      const width = page.clientWidth;
      const desk = place === "desk" || place === "wall";
      const shapeWidth = place === "phone" ? 116 : place === "touch" ? 170 : 220;
      render(
        runsPage({
          list,
          filter: route.filter,
          filtered: !isAny(route.filter),
          over: route.over,
          head: storedHead({
            title: texts.runs.heading,
            what: layout === null ? nothing : html`${layout.name}`,
            demo: layout?.demo ?? false,
            clockMs: around.clockMs(),
            place,
            links: around.links(),
            tools:
              layout === null || place === "phone"
                ? nothing
                : html`<button type="button" class="tool" data-testid="rejudge" ?disabled=${work.job?.state === "running"} @click=${askRejudge}>${texts.rejudge.button}</button>`,
            texts,
          }),
          urgent: html`${around.urgent()}${rejudgePanel(work, cell() ?? 0, texts)}`,
          texts,
          naming: layout === null ? { channel: (id) => id, unit: () => "" } : namingOf(layout),
          liquidusOf: (run) =>
            layout === null
              ? null
              : (specOf(layout, run.spec?.name ?? null, run.spec?.version ?? null)?.liquidus ?? null),
          addressOf: (run) =>
            run.end === null
              ? addressOf({ place: "cell", cell: run.cell })
              : route.over !== null && route.over !== run.number
                ? addressOf({ place: "overlay", cell: run.cell, run: route.over, other: run.number, linedUp: "start" })
                : addressOf({ place: "run", cell: run.cell, run: run.number }),
          shapeOf: (run) => {
            const shape = shapes.get(keyOf(run));
            return shape === undefined || shape === "asked" ? null : shape;
          },
          barsWidth: desk
            ? Math.max(0, width - 32 - 320 - 264 - 48 - 320)
            : place === "touch"
              ? width - 48 - 250 - shapeWidth - 48 - 32
              : 0,
          shapeWidth,
          narrow: place === "phone",
          search,
          clear: () => search(anyRun),
        }),
        page,
      );
      for (const element of page.querySelectorAll(".run-row")) {
        if (observed.has(element)) continue;
        observed.add(element);
        seen.observe(element);
      }
      // A foot that stays in sight has to be looked at again after each page.
      const foot = page.querySelector(".list-foot.more");
      if (foot !== null) {
        seen.unobserve(foot);
        seen.observe(foot);
      }
    },
    restyle: () => undefined,
    keys: {
      stepChannel: step,
      search: () => {
        page.querySelector("details.search-more")?.setAttribute("open", "");
        page.querySelector<HTMLInputElement>("input[name=product]")?.focus();
      },
      back: () => {
        if (document.activeElement instanceof HTMLInputElement) document.activeElement.blur();
        else if (route.over !== null && route.cell !== null)
          around.go({ place: "run", cell: route.cell, run: route.over });
      },
    },
    title: () => texts.runs.heading,
  };
}
