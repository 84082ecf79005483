import type { nothing, TemplateResult } from "lit-html";
import type { Place } from "../charts/geometry";
import type { DecisionKind, Papers } from "../feed/papers";
import type { Ask, Records } from "../feed/records";
import type { AskDialog } from "../pages/askDialog";
import type { KeyActions } from "../pages/keyboard";
import type { CellStore } from "../state/cellStore";
import type { Route } from "../state/route";
import type { RunCache } from "../state/runCache";
import type { RunPapers } from "../state/runPapers";
import type { Texts } from "../texts/en";

/** What every place is given. */
export interface Surroundings {
  /** The element that the place fills. */
  readonly page: HTMLElement;
  readonly texts: Texts;
  readonly records: Records;
  readonly runs: RunCache;
  /** What people have said of runs. */
  readonly papers: RunPapers;
  readonly paperFeed: Papers;
  /** Does something after a wait; what comes back takes it back. */
  readonly after: (waitMs: number, action: () => void) => () => void;
  /** Asks a person for words. */
  readonly dialog: AskDialog;
  /** Where dialogs of a place stand. */
  readonly dialogs: HTMLElement;
  /** Asks the service. */
  readonly ask: Ask;
  /** The cell that is followed live. */
  readonly live: CellStore;
  place(): Place;
  /** Time of the day, ms since 1970. */
  clockMs(): number;
  /** Monotonic, ms. */
  nowMs(): number;
  /** Lays out anew at the next frame of the screen. */
  relay(): void;
  go(route: Route): void;
  /** Goes to another place in place of this one, which leaves no trail. */
  instead(route: Route): void;
  /** Changes the address without leaving the place or a trail. */
  note(route: Route): void;
  /** Links to the other places, for pages without a rail; nothing where there is one. */
  links(): TemplateResult | typeof nothing;
  /** What must be said of the live cell wherever one is; nothing while it is calm. */
  urgent(): TemplateResult | typeof nothing;
}

/** A place that can be gone to. It keeps what it knows while one is elsewhere. */
export interface Visit<R extends Route> {
  enter(route: R): void;
  leave(): void;
  layOut(): void;
  /** The look, the size or the units are other ones now. */
  restyle(): void;
  /** Asks for a decision of the run that is looked at; left out where there is none. */
  decide?(kind: DecisionKind): void;
  readonly keys: Partial<KeyActions>;
  /** For the title of the window. */
  title(): string;
}
