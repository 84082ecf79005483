import { html, nothing, render } from "lit-html";
import { savePicture } from "../charts/picture";
import { createRunSheet } from "../charts/runSheet";
import { anyRun } from "../feed/records";
import { createUpkeep } from "../feed/upkeep";
import { decisionBlock } from "../pages/decisionBlock";
import { deletionQuestion } from "../pages/deletionBlock";
import { createInspector } from "../pages/inspector";
import { recordBlock, recordQuestion } from "../pages/recordBlock";
import { runPage } from "../pages/runPage";
import { sheetTools } from "../pages/sheetTools";
import { storedHead } from "../pages/storedHead";
import { when } from "../pages/when";
import { annotationsOf } from "../state/annotations";
import { type Asked, failed } from "../state/asked";
import { type Prompt, prompt } from "../state/promptTypes";
import { addressOf, type Route } from "../state/route";
import type { RunPaper } from "../state/runPapers";
import { storedPrompt } from "../state/storedPrompt";
import { type StoredRun, storedRun } from "../state/storedRun";
import * as write from "../texts/format";
import { createAddressKeeper } from "./addressKeeper";
import { askAnnotation, askDecision } from "./asks";
import type { Surroundings, Visit } from "./context";

type RunRoute = Extract<Route, { place: "run" }>;

/** One run of the record. */
export function createRunPlace(around: Surroundings): Visit<RunRoute> {
  const { texts, page } = around;
  const upkeep = createUpkeep(around.ask);
  const element = document.createElement("div");
  element.className = "sheet";
  let route: RunRoute | null = null;
  let asked: Asked<StoredRun> = { kind: "asking", sinceMs: 0 };
  /** What was answered when somebody asked to delete the readings. */
  let deletionSaid = "";
  /** Told again once the cell is known: its name, whether it is a demo, what is usual. */
  let rebuild: (() => void) | null = null;
  const stored = (): StoredRun | null => (asked.kind === "here" ? asked.value : null);
  const inspector = createInspector(element, () => sheet.axes(), around.relay);
  const sheet = createRunSheet(element, () => stored()?.store ?? null, texts, inspector.choose);

  const paper = (): RunPaper | null =>
    stored() === null || route === null ? null : around.papers.of(route.cell, route.run);

  const fetch = (): void => {
    const mine = route;
    if (mine === null) return;
    asked = { kind: "asking", sinceMs: around.nowMs() };
    rebuild = null;
    around.runs.get(mine.cell, mine.run).then(
      ({ detail, curves }) => {
        if (route !== mine) return;
        // A run that goes on is looked at where it goes on.
        if (detail.run.end === null)
          return around.instead({
            place: "cell",
            cell: mine.cell,
            ...(mine.look === undefined ? {} : { closer: { run: mine.run, look: mine.look } }),
          });
        const build = (): void => {
          asked = { kind: "here", value: storedRun(detail, curves, around.live.layout) };
        };
        build();
        rebuild = around.live.layout === null ? build : null;
        if (mine.atMs !== undefined && mine.atMs !== null)
          inspector.pointAt(Math.max(0, (mine.atMs - Date.parse(detail.run.start)) / 1000));
        if (mine.look !== undefined)
          // What was held while the run went on is where the cursor stands now.
          inspector.lookAs(
            { ...mine.look, cursor_s: mine.look.cursor_s ?? mine.look.held_s },
            stored()?.view.length_s ?? 1,
            null,
          );
        around.relay();
        // Whoever looks at one run often goes on to the next.
        for (const number of [detail.previous, detail.next])
          if (number !== null)
            setTimeout(() => route === mine && void around.runs.get(mine.cell, number).catch(() => undefined), 400);
      },
      (error: unknown) => {
        if (route !== mine) return;
        asked = failed(error);
        around.relay();
      },
    );
    around.relay();
  };

  const keeper = createAddressKeeper(around);
  const noteLook = (): void => {
    if (route === null || stored() === null) return;
    const { look: _, ...plain } = route;
    keeper.keep({ ...plain, ...(inspector.look === null ? {} : { look: inspector.look }) });
  };
  const annotate = (end_s: number): void => {
    const mine = route;
    if (mine !== null) askAnnotation(around, mine.cell, mine.run, inspector.inspect.cursor_s ?? end_s);
  };
  const promptNow = (run: number): Prompt => {
    if (asked.kind === "here") return storedPrompt(asked.value, paper()?.comparison ?? null, texts);
    if (asked.kind === "failed")
      return prompt("run/failed", "unknown", texts.run.failed(run), asked.words ?? texts.runs.noAnswer);
    return prompt("run/asking", "calm", texts.run.fetching(run), texts.run.fetchingDetail);
  };
  /** First what would be lost, then whether it shall be. */
  const askDeletion = (): void => {
    const mine = route;
    if (mine === null) return;
    deletionSaid = texts.deletion.asking;
    around.relay();
    upkeep.deletion(mine.cell, mine.run).then(
      (plan) => {
        if (route !== mine) return;
        deletionSaid = plan.problem ?? "";
        around.relay();
        if (plan.problem !== null) return;
        around.dialog.ask(
          deletionQuestion(mine.run, plan, texts, async (by, reason) => {
            await upkeep.deleteReadings(mine.cell, mine.run, by, reason, plan.entries);
            around.runs.forget(mine.cell, mine.run);
            deletionSaid = texts.deletion.done(mine.run);
            if (route === mine) fetch();
          }),
        );
      },
      (error: unknown) => {
        deletionSaid = failed(error).words ?? texts.runs.noAnswer;
        around.relay();
      },
    );
  };
  const goTo = (run: number | null | undefined): void => {
    if (route !== null && run !== null && run !== undefined) around.go({ place: "run", cell: route.cell, run });
  };
  const saveNow = (): void => {
    const shown = stored();
    if (shown === null) return;
    const { run } = shown.detail;
    const startMs = Date.parse(run.start);
    const { sentence } = storedPrompt(shown, paper()?.comparison ?? null, texts);
    const what = [
      shown.view.layout.name,
      texts.runs.number(run.number),
      run.spec === null ? texts.run.noSpec : texts.run.spec(run.spec.name, run.spec.version),
      texts.head.carrier(run.carrier),
    ];
    void savePicture(element, {
      title: `${what.filter((part) => part !== "").join(" · ")} · ${write.day(startMs)}, ${write.clock(startMs)} (${write.utc(startMs)})`,
      detail: sentence,
      file: `cell-${run.cell}-run-${run.number}`,
      simulated: shown.view.layout.demo ? texts.demoShort : null,
    });
  };

  return {
    enter(next) {
      route = next;
      deletionSaid = "";
      keeper.entered(next);
      inspector.reset();
      fetch();
    },
    leave() {
      keeper.left();
      route = null;
    },
    layOut() {
      if (route === null) return;
      if (rebuild !== null && around.live.layout !== null) {
        rebuild();
        rebuild = null;
      }
      const shown = stored();
      const place = around.place();
      const run = shown?.detail.run ?? null;
      inspector.follow(shown?.view ?? null);
      // Curves of the run before must not stand under the name of one that is still being fetched.
      element.hidden = shown === null;
      const startMs = run === null ? 0 : Date.parse(run.start);
      const endMs = run?.end === null || run === null ? startMs : Date.parse(run.end);
      const neighbour = (number: number | null, words: string, id: string) =>
        number === null || route === null
          ? nothing
          : html`<a class="tool" data-testid=${id} href=${addressOf({ place: "run", cell: route.cell, run: number })} aria-label=${`${words}, ${texts.head.run(number)}`}>${texts.head.run(number)}</a>`;
      const touch = place === "touch" || place === "phone";
      const said = paper();
      render(
        runPage(
          {
            stored: shown,
            prompt: promptNow(route.run),
            again: asked.kind === "failed" ? fetch : null,
            place,
            texts,
            columnWidth: place === "phone" ? page.clientWidth - 24 : place === "touch" ? page.clientWidth - 48 : 372,
            head: storedHead({
              title: texts.runs.number(route.run),
              what:
                run === null
                  ? nothing
                  : html`${[run.spec?.name ?? texts.run.noSpec, shown?.view.layout.name, texts.head.carrier(run.carrier)].filter((part) => part !== undefined && part !== "").join(" · ")} · ${when(startMs, texts.run.from(write.day(startMs), write.clock(startMs), write.clock(endMs)))}`,
              demo: shown?.view.layout.demo ?? false,
              clockMs: around.clockMs(),
              place,
              links: around.links(),
              tools:
                shown === null
                  ? nothing
                  : html`${neighbour(shown.detail.previous, texts.run.previous, "previous")}${neighbour(shown.detail.next, texts.run.next, "next")}
                    <a class="tool" data-testid="lay-over" href=${addressOf({ place: "runs", cell: route.cell, filter: anyRun, over: route.run })}>${texts.run.layOver}</a>
                    ${touch ? nothing : html`<button type="button" class="tool" data-testid="print" @click=${() => print()}>${texts.run.print}</button>`}`,
              texts,
            }),
            urgent: around.urgent(),
            decision:
              said === null ? nothing : decisionBlock(said, place, texts, (kind) => askDecision(around, said, kind)),
            record:
              said === null
                ? nothing
                : recordBlock(
                    said,
                    shown?.detail.run.recipe ?? null,
                    texts,
                    (record) =>
                      around.dialog.ask(
                        recordQuestion(said.run, record, texts, (edit) =>
                          around.papers.edit(said.cell, said.run, edit),
                        ),
                      ),
                    place === "desk"
                      ? html`<p class="deletion"><button type="button" class="plain" data-testid="delete-readings" @click=${askDeletion}>${texts.deletion.button}</button> <span role="status" data-testid="deletion-said">${deletionSaid}</span></p>`
                      : nothing,
                  ),
            tools: sheetTools(
              inspector.tools,
              {
                elapsed_s: null,
                savePicture: saveNow,
                annotate: shown === null ? null : () => annotate(shown.view.elapsed_s),
              },
              texts,
            ),
          },
          element,
        ),
        page,
      );
      noteLook();
      if (shown !== null)
        sheet.layOut(
          shown.view,
          place,
          inspector.chosen,
          inspector.inspect,
          inspector.dragged,
          said?.record.kind === "here" ? annotationsOf(said.record.value.remarks) : [],
        );
    },
    restyle: () => sheet.restyle(),
    decide(kind) {
      const said = paper();
      if (said !== null) askDecision(around, said, kind);
    },
    keys: {
      ...inspector,
      freeze: () => undefined,
      previousRun: () => goTo(stored()?.detail.previous),
      nextRun: () => goTo(stored()?.detail.next),
    },
    title: () => (route === null ? "" : texts.runs.number(route.run)),
  };
}
