import type { GiveOrder } from "../pages/alarmQuestions";
import type { CarrierNow } from "../state/carriers";
import type { Prompt } from "../state/promptTypes";
import type { PlaceName, Route } from "../state/route";
import { type CellPlace, createCellPlace, type LiveNow } from "./cellPlace";
import type { Surroundings, Visit } from "./context";
import { createFloorPlace, type Followed } from "./floorPlace";
import { createLazyPlace } from "./lazyPlace";

/** The live cell, as places know and move it. */
export interface LiveCell {
  readonly now: () => LiveNow;
  readonly acknowledge: (prompt: Prompt) => void;
  readonly give: GiveOrder;
  readonly carriers: () => readonly CarrierNow[];
  readonly chooseCarrier: (carrier: string) => void;
  /** Follows another cell beside. */
  readonly followAlso: (cell: number) => Followed;
}

/** Every place that can be gone to. */
export interface Places {
  readonly cell: CellPlace;
  readonly visits: Record<PlaceName, Visit<Route>>;
  /** Fetches the places that come with a script of their own. */
  later(): Promise<unknown>;
}

export function createPlaces(around: Surroundings, live: LiveCell): Places {
  const { now, acknowledge, give } = live;
  const cell = createCellPlace(around, now, acknowledge, give, live.carriers, live.chooseCarrier);
  const later = () => import("./later");
  // Each place is entered with its own route only; the table forgets which that is.
  const visits: { readonly [P in PlaceName]: Visit<Extract<Route, { place: P }>> } = {
    cell,
    floor: createFloorPlace(around, around.ask, live.followAlso),
    runs: createLazyPlace(around, async () => (await later()).createRunsPlace(around)),
    run: createLazyPlace(around, async () => (await later()).createRunPlace(around)),
    overlay: createLazyPlace(around, async () => (await later()).createOverlayPlace(around)),
    codes: createLazyPlace(around, async () => (await later()).createCodesPlace(around)),
    alarms: createLazyPlace(around, async () =>
      (await later()).createAlarmsPlace(around, now, acknowledge, give, around.ask),
    ),
    feeds: createLazyPlace(around, async () => (await later()).createFeedsPlace(around)),
  };
  return { cell, visits: visits as Record<PlaceName, Visit<Route>>, later };
}
