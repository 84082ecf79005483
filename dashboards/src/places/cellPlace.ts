import { nothing, render } from "lit-html";
import type { Place } from "../charts/geometry";
import { savePicture } from "../charts/picture";
import { createRunSheet } from "../charts/runSheet";
import { type GiveOrder, orderQuestion } from "../pages/alarmQuestions";
import { cellPage } from "../pages/cellPage";
import { decisionBlock } from "../pages/decisionBlock";
import { createInspector } from "../pages/inspector";
import type { Sending } from "../pages/promptBar";
import { alarmFacts } from "../state/alarmPrompt";
import { annotationsOf } from "../state/annotations";
import type { CarrierNow } from "../state/carriers";
import { alarmedChannels } from "../state/cellStore";
import { firstSteps, needsSteps } from "../state/firstSteps";
import { heldView } from "../state/heldView";
import type { Prompt } from "../state/promptTypes";
import type { Route } from "../state/route";
import type { RunPaper } from "../state/runPapers";
import { type CellView, runToShow } from "../state/view";
import * as write from "../texts/format";
import { createAddressKeeper } from "./addressKeeper";
import { askAnnotation, askDecision } from "./asks";
import type { Surroundings, Visit } from "./context";
import { createRunControl } from "./runControl";

/** What is known of the live cell at this moment, whichever place is looked at. */
export interface LiveNow {
  readonly view: CellView | null;
  readonly prompts: readonly Prompt[];
  readonly sending: Sending | null;
}

export interface CellPlace extends Visit<Extract<Route, { place: "cell" }>> {
  /** Draws what came since, without laying out anew. */
  frame(): void;
  /** Takes note of the view of now, also while one is elsewhere. */
  follow(view: CellView | null): void;
}

/**
 * The cell as it is now.
 * @param carriers carriers that have had a run; @param chooseCarrier shows the run of another one
 */
export function createCellPlace(
  around: Surroundings,
  now: () => LiveNow,
  acknowledge: (prompt: Prompt) => void,
  give: GiveOrder,
  carriers: () => readonly CarrierNow[],
  chooseCarrier: (carrier: string) => void,
): CellPlace {
  const { texts, page, live } = around;
  const element = document.createElement("div");
  element.className = "sheet";
  const inspector = createInspector(element, () => sheet.axes(), around.relay);
  const sheet = createRunSheet(element, () => live, texts, inspector.choose);
  const choose = (carrier: string): void => {
    chooseCarrier(carrier);
    inspector.reset();
  };
  const saveNow = (): void => {
    const { view, prompts } = now();
    if (view === null) return;
    const atMs = view.nowMs ?? around.clockMs();
    const parts = [
      view.layout.name,
      view.run === null ? null : texts.head.run(view.run.number),
      view.layout.spec?.name ?? null,
      `${write.day(atMs)}, ${write.clock(atMs)} (${write.utc(atMs)})`,
    ];
    void savePicture(element, {
      title: parts.filter((part) => part !== null).join(" · "),
      detail: prompts[0].sentence,
      file: `cell-${view.layout.cell}-run-${view.run?.number ?? 0}`,
      simulated: view.layout.demo ? texts.demoShort : null,
    });
  };

  /** What the address asks for, until its run is there. */
  let wanted: Extract<Route, { place: "cell" }>["closer"] | null = null;
  let entered: number | null = null;
  /** Run that was looked for in the record already: what is not there either is not looked for again. */
  let sought: number | null = null;
  const keeper = createAddressKeeper(around);
  /** Looks as the address says once the run is there; one that is no longer the newest lies in the record. */
  const settle = (view: CellView | null): void => {
    const { state, traces, link } = live;
    if (!wanted || view === null || state === null || traces === null || link.kind !== "live") return;
    const { run, look } = wanted;
    if (view.run?.number !== run) {
      const known = state.runs.find(({ number }) => number === run);
      if (known !== undefined && runToShow(state.runs, known.carrier) === known) {
        chooseCarrier(known.carrier);
        return;
      }
      wanted = null;
      if (sought !== run) around.instead({ place: "run", cell: view.layout.cell, run, look });
      sought = run;
      return;
    }
    wanted = null;
    inspector.lookAs(look, view.length_s, look.held_s === null ? null : heldView(view, traces, look.held_s));
  };
  const noteLook = (view: CellView | null): void => {
    if (wanted) return;
    const run = (inspector.held ?? view)?.run?.number;
    const { look } = inspector;
    keeper.keep(
      look === null || run === undefined || view === null
        ? { place: "cell", cell: entered }
        : { place: "cell", cell: view.layout.cell, closer: { run, look } },
    );
  };

  const askDid = ({ alarm }: Prompt): void => {
    const { view } = now();
    if (alarm === null || view === null || live.link.kind === "lost") return;
    const { what } = alarmFacts(alarm, view, around.clockMs(), texts);
    around.dialog.ask(orderQuestion("did", alarm, what, texts, give));
  };

  const runControl = createRunControl(around);
  /** The papers of the run that is shown once it has ended. */
  const ended = (view: CellView | null): RunPaper | null =>
    view === null || view.mode !== "finished" || view.run === null || live.link.kind === "lost"
      ? null
      : around.papers.of(view.layout.cell, view.run.number);

  return {
    enter(route) {
      entered = route.cell;
      wanted = route.closer ?? null;
      keeper.entered(route);
    },
    leave: keeper.left,
    follow: (view) => inspector.follow(view),
    layOut() {
      const { view, prompts, sending } = now();
      settle(view);
      noteLook(view);
      const place = around.place();
      const paper = ended(view);
      const steps =
        view === null || live.link.kind === "lost" ? [] : firstSteps(view, live.state?.devices ?? [], texts);
      render(
        cellPage(
          {
            view,
            prompts,
            sending,
            place,
            texts,
            lost: live.link.kind === "lost",
            alarmed: alarmedChannels(live),
            clockMs: around.clockMs(),
            columnWidth: barWidth(place, page.clientWidth),
            acknowledge,
            did: askDid,
            carriers: carriers(),
            chooseCarrier: choose,
            tools: inspector.tools,
            savePicture: saveNow,
            annotate:
              view === null || view.run === null
                ? null
                : () => {
                    const { layout, run, elapsed_s } = inspector.held ?? view;
                    if (run !== null)
                      askAnnotation(around, layout.cell, run.number, inspector.inspect.cursor_s ?? elapsed_s);
                  },
            links: around.links(),
            runControl: runControl.button(),
            steps: needsSteps(view, steps) && place !== "wall" ? steps : null,
            decision:
              paper === null || place === "wall"
                ? nothing
                : decisionBlock(paper, place, texts, (kind) => askDecision(around, paper, kind)),
          },
          element,
        ),
        page,
      );
      runControl.layOut();
      const shown = inspector.held ?? view;
      const known = shown?.run ? around.papers.known(shown.layout.cell, shown.run.number) : null;
      const written = known?.record.kind === "here" ? known.record.value.remarks : null;
      if (shown !== null)
        sheet.layOut(shown, place, inspector.chosen, inspector.inspect, inspector.dragged, annotationsOf(written));
    },
    frame: () => sheet.frame(),
    restyle: () => sheet.restyle(),
    decide(kind) {
      const paper = ended(now().view);
      if (paper !== null) askDecision(around, paper, kind);
    },
    keys: {
      ...inspector,
      whatIDid: () => {
        const first = now().prompts.find((prompt) => prompt.alarm !== null);
        if (first !== undefined) askDid(first);
      },
      runOrders: runControl.open,
      nextCarrier: () => {
        const all = carriers().map(({ name }) => name);
        if (all.length > 1) choose(all[(all.indexOf(now().view?.run?.carrier ?? "") + 1) % all.length]);
      },
    },
    title: () => "",
  };
}

function barWidth(place: Place, pageWidth: number): number {
  if (place === "touch") return Math.floor((pageWidth - 24 - 2 * 24) / 3);
  if (place === "phone") return pageWidth - 24;
  return 372;
}
