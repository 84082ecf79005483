import { html, render } from "lit-html";
import type { CellName } from "../feed/contract";
import type { Ask } from "../feed/records";
import { type FloorTile, floorPage } from "../pages/floorPage";
import { storedHead } from "../pages/storedHead";
import { failed, isAbort } from "../state/asked";
import type { CellStore } from "../state/cellStore";
import { prompts } from "../state/prompt";
import type { Route } from "../state/route";
import { viewCell } from "../state/view";
import type { Surroundings, Visit } from "./context";

/** A cell that is followed for the floor. */
export interface Followed {
  readonly store: CellStore;
  stop(): void;
}

/** How often the list of cells is asked for again, ms: a plant does not change by the minute. */
const listMs = 30_000;

/**
 * All cells of this service. Each is followed as the cell page follows its own, only while the floor is looked at, so
 * that a sentence here cannot differ from the one there.
 */
export function createFloorPlace(
  around: Surroundings,
  ask: Ask,
  follow: (cell: number) => Followed,
): Visit<Extract<Route, { place: "floor" }>> {
  const { texts, page } = around;
  let cells: readonly CellName[] = [];
  let said: string | null = null;
  let askedMs = Number.NEGATIVE_INFINITY;
  let here = false;
  const followed = new Map<number, Followed>();

  const list = (): void => {
    if (around.nowMs() - askedMs < (said === null ? listMs : 3000)) return;
    askedMs = around.nowMs();
    ask("/api/v1/cells", new AbortController().signal).then(
      (answer) => {
        cells = (answer as { cells: readonly CellName[] }).cells;
        said = null;
        // The cell of the other pages is followed already.
        for (const { cell } of cells)
          if (here && cell !== around.live.layout?.cell && !followed.has(cell)) followed.set(cell, follow(cell));
        around.relay();
      },
      (error: unknown) => {
        if (isAbort(error)) return;
        const found = failed(error);
        said = cells.length > 0 ? null : (found.words ?? texts.runs.noAnswer);
        around.relay();
      },
    );
  };

  const tiles = (): FloorTile[] => {
    const nowMs = around.nowMs();
    return cells.flatMap(({ cell, name }) => {
      const store = followed.get(cell)?.store ?? (cell === around.live.layout?.cell ? around.live : null);
      if (store === null) return [];
      const view = viewCell(store, nowMs);
      const found = prompts(
        {
          view,
          link: store.link,
          alarms: store.state?.alarms ?? [],
          devices: store.state?.devices ?? [],
          nowMs,
          wallMs: around.clockMs(),
          comparison: null,
        },
        texts,
      );
      return [{ cell, name, store, view, prompts: found }];
    });
  };
  const step = (by: number): void => {
    const all = [...page.querySelectorAll<HTMLElement>(".tile")];
    const at = all.indexOf(document.activeElement as HTMLElement);
    all[Math.min(Math.max(at < 0 ? 0 : at + by, 0), all.length - 1)]?.focus();
  };

  return {
    enter() {
      here = true;
      askedMs = Number.NEGATIVE_INFINITY;
      list();
    },
    leave() {
      here = false;
      for (const one of followed.values()) one.stop();
      followed.clear();
    },
    layOut() {
      list();
      const place = around.place();
      const width = page.clientWidth - (place === "phone" ? 24 : place === "touch" ? 24 : 32);
      const columns = place === "phone" ? 1 : Math.max(1, Math.min(cells.length, place === "touch" ? 2 : 3));
      // Drawings take what the head of the page and their own heads, sentences and feet leave.
      const rows = Math.ceil(cells.length / columns);
      const left = (page.clientHeight - 210 - (rows - 1) * 12) / Math.max(1, rows) - 170;
      const tall = Math.min(Math.max(Math.floor(left), rows > 1 ? 230 : 320), 640);
      page.style.setProperty("--columns", String(columns));
      const demo = around.live.layout?.demo ?? false;
      render(
        floorPage({
          tiles: tiles(),
          failed: said,
          tileWidth: Math.floor((width - (columns - 1) * 12) / columns - 32),
          tileHeight: place === "phone" ? 130 : place === "touch" ? 200 : tall,
          head: storedHead({
            title: texts.floor.heading,
            what: html`${texts.floor.count(cells.length)}`,
            demo,
            clockMs: around.clockMs(),
            place,
            links: around.links(),
            tools: html``,
            texts,
          }),
          texts,
        }),
        page,
      );
    },
    restyle: () => undefined,
    keys: { stepChannel: step, moveCursor: (by_s) => step(Math.sign(by_s)) },
    title: () => texts.floor.heading,
  };
}
