import { attachPointer } from "../charts/pointer";
import type { Axes } from "../charts/scene";
import { type CloserLook, lookFrom } from "../state/closerLook";
import { type Inspect, noInspect, pan, point, show, walk, zoom } from "../state/inspect";
import type { CellView } from "../state/view";
import type { ToolsInput } from "./sheetTools";

/** What somebody looks at closely: the stretch, the cursor, the channel that stands out, a picture that is held. */
export interface Inspector {
  readonly inspect: Inspect;
  readonly chosen: string | null;
  /** A stretch being dragged, s; null: none. */
  readonly dragged: readonly [number, number] | null;
  /** The view that the picture is held at; null while it goes on. */
  readonly held: CellView | null;
  readonly tools: ToolsInput;
  /** Takes note of the view of now: a held picture belongs to its run and goes with it. */
  follow(view: CellView | null): void;
  /** Whole run, going on, no channel chosen. */
  reset(): void;
  choose(id: string): void;
  stepChannel(by: 1 | -1): void;
  moveCursor(by_s: number): void;
  /** Puts the cursor at a moment of the run, s. */
  pointAt(at_s: number): void;
  /** What can be handed on of what is looked at; null: the plain picture. */
  readonly look: CloserLook | null;
  /**
   * Looks at a run of so many seconds as somebody else did.
   * @param stands the view as it stood where the picture is held; null: it goes on
   */
  lookAs(look: CloserLook, length_s: number, stands: CellView | null): void;
  mark(): void;
  zoom(factor: number): void;
  /** Goes along the run by a part of the stretch that is shown. */
  pan(part: number): void;
  wholeRun(): void;
  freeze(): void;
  /** One step back to the plain picture. */
  back(): void;
}

/**
 * @param sheet element on which the pointer works
 * @param axes the axes drawn now
 * @param told the picture must be laid out anew
 */
export function createInspector(sheet: HTMLElement, axes: () => Axes | null, told: () => void): Inspector {
  let inspect = noInspect;
  let chosen: string | null = null;
  let dragged: readonly [number, number] | null = null;
  let held: CellView | null = null;
  let view: CellView | null = null;
  /** Which point of a measurement the next press sets. */
  let measuring: "from" | "to" | null = null;

  const changed = (): void => {
    // A press that sets a point goes through whatever label lies there.
    sheet.toggleAttribute("data-measuring", measuring !== null);
    told();
  };
  const shown = (): CellView | null => held ?? view;
  const length_s = (): number => shown()?.length_s ?? 1;
  const elapsed_s = (): number => shown()?.elapsed_s ?? 0;
  const cursorOrNow = (): number => inspect.cursor_s ?? elapsed_s();
  /** Where buttons zoom to: the cursor, else the middle of what is shown. */
  const middle = (): number =>
    inspect.cursor_s ?? (inspect.window === null ? elapsed_s() : (inspect.window.from_s + inspect.window.to_s) / 2);
  const look = (next: Inspect): void => {
    const same = (Object.keys(next) as (keyof Inspect)[]).every((key) => next[key] === inspect[key]);
    if (same) return;
    inspect = next;
    changed();
  };
  const wholeRun = (): void => look({ ...noInspect, frozen_s: inspect.frozen_s });
  const panBy = (part: number): void => look(pan(inspect, part, length_s()));
  const freeze = (): void => {
    held = held === null ? view : null;
    look({ ...inspect, frozen_s: held?.elapsed_s ?? null });
  };
  const toNow = (): void => {
    held = null;
    measuring = null;
    inspect = noInspect;
    changed();
  };
  const measure = (): void => {
    const begin = measuring === null && inspect.mark_s === null;
    measuring = begin ? "from" : null;
    inspect = { ...inspect, mark_s: null, cursor_s: null, pinned: false };
    changed();
  };
  const choose = (id: string): void => {
    chosen = chosen === id ? null : id;
    changed();
  };

  attachPointer(sheet, {
    axes,
    length_s,
    elapsed_s,
    inspect: () => inspect,
    change: look,
    press: (at_s) => {
      const at = at_s === null ? null : Math.min(at_s, elapsed_s());
      if (at === null) return look({ ...inspect, cursor_s: null, mark_s: null, pinned: false });
      if (measuring === "from") {
        measuring = "to";
        look({ ...inspect, mark_s: at, cursor_s: at, pinned: false });
        changed();
      } else if (measuring === "to" || (inspect.mark_s !== null && !inspect.pinned)) {
        measuring = null;
        look({ ...inspect, cursor_s: at, pinned: true });
        changed();
      } else if (!inspect.pinned) look(point(inspect, at, Number.MAX_SAFE_INTEGER));
    },
    drag: (stretch) => {
      if (stretch === null && dragged === null) return;
      dragged = stretch;
      changed();
    },
  });
  // Whatever takes room from the sheet, or gives it some, moves everything on it.
  new ResizeObserver(changed).observe(sheet);
  return {
    get inspect() {
      return inspect;
    },
    get chosen() {
      return chosen;
    },
    get dragged() {
      return dragged;
    },
    get held() {
      return held;
    },
    get look() {
      return lookFrom(inspect, chosen);
    },
    get tools() {
      const by = (factor: number): void => look(zoom(inspect, factor, middle(), length_s()));
      return {
        zoomed: inspect.window !== null,
        pointed: inspect.cursor_s !== null,
        heldAt_s: inspect.frozen_s,
        measuring: measuring ?? (inspect.mark_s === null ? null : ("done" as const)),
        zoom: by,
        pan: panBy,
        wholeRun,
        toNow,
        freeze,
        measure,
      };
    },
    follow(next) {
      const run = shown()?.run?.number;
      view = next;
      // Seconds are those of a run: another one is looked at from its beginning.
      if (run === undefined || next?.run === undefined || next.run === null || run === next.run.number) return;
      held = null;
      measuring = null;
      inspect = noInspect;
    },
    reset() {
      chosen = null;
      held = null;
      view = null;
      measuring = null;
      inspect = noInspect;
      changed();
    },
    choose,
    stepChannel(by) {
      const ids = view?.temperatures.map((channel) => channel.layout.id) ?? [];
      if (ids.length === 0) return;
      const at = chosen === null ? (by > 0 ? -1 : ids.length) : ids.indexOf(chosen);
      chosen = ids[(at + by + ids.length) % ids.length];
      changed();
    },
    moveCursor: (by_s) => look(walk(inspect, Math.min(Math.round(cursorOrNow() + by_s), elapsed_s()), length_s())),
    lookAs(as, whole_s, stands) {
      chosen = as.channel;
      held = stands;
      measuring = null;
      const whole = { ...noInspect, frozen_s: stands?.elapsed_s ?? null };
      const stretch = as.window === null ? whole : show(whole, as.window.from_s, as.window.to_s, whole_s);
      // What was measured stays until somebody ends it.
      inspect = { ...stretch, mark_s: as.mark_s, cursor_s: as.cursor_s, pinned: as.mark_s !== null };
      changed();
    },
    pointAt: (at_s) => look(point(inspect, at_s, Number.MAX_SAFE_INTEGER)),
    mark: () =>
      look({
        ...inspect,
        mark_s: inspect.mark_s === null ? cursorOrNow() : null,
        cursor_s: cursorOrNow(),
        pinned: false,
      }),
    zoom: (factor) => look(zoom(inspect, factor, cursorOrNow(), length_s())),
    pan: panBy,
    wholeRun,
    freeze,
    back() {
      if (measuring !== null) measure();
      else if (inspect.cursor_s !== null || inspect.mark_s !== null)
        look({ ...inspect, cursor_s: null, mark_s: null, pinned: false });
      else if (inspect.window !== null) look({ ...inspect, window: null });
      else if (held !== null) freeze();
      else if (chosen !== null) choose(chosen);
    },
  };
}
