import { type Inspect, noInspect, point, show, zoom } from "../state/inspect";
import type { Axes } from "./scene";

/** What the pointer works on. */
export interface PointerTarget {
  /** The axes drawn now; null before the first. */
  axes(): Axes | null;
  length_s(): number;
  /** Where the curves end, s: there is nothing to point at beyond. */
  elapsed_s(): number;
  inspect(): Inspect;
  change(inspect: Inspect): void;
  /** The sheet was pressed at a moment of the run; null: beside the curves. */
  press(at_s: number | null): void;
  /** A stretch being dragged, s; null: none. */
  drag(stretch: readonly [number, number] | null): void;
}

/** Travel below which a press is a press and not a drag, px. */
const dragPx = 6;

/** Cursor by moving, a closer look by dragging or by the wheel, the whole run by a double press. */
export function attachPointer(sheet: HTMLElement, target: PointerTarget): void {
  let begun: { readonly x: number; readonly at_s: number } | null = null;

  const moment = (event: MouseEvent): number | null => {
    const axes = target.axes();
    if (axes === null) return null;
    const { plot } = axes.geometry;
    const x = event.clientX - sheet.getBoundingClientRect().left - plot.left;
    if (x < 0 || x > plot.width) return null;
    return axes.axis.min + (x / plot.width) * (axes.axis.max - axes.axis.min);
  };

  sheet.addEventListener("pointermove", (event) => {
    if (event.pointerType === "touch" || target.inspect().pinned) return;
    const at_s = moment(event);
    // Labels stay where they are while somebody is about to press one.
    const beside =
      at_s === null || at_s > target.elapsed_s() || (event.target as Element).closest("button, .label") !== null;
    target.change(
      at_s === null || beside
        ? { ...target.inspect(), cursor_s: null }
        : point(target.inspect(), at_s, Number.MAX_SAFE_INTEGER),
    );
    if (begun !== null && at_s !== null && Math.abs(event.clientX - begun.x) > dragPx) target.drag([begun.at_s, at_s]);
  });
  sheet.addEventListener("pointerleave", (event) => {
    begun = null;
    target.drag(null);
    if (event.pointerType !== "touch" && !target.inspect().pinned)
      target.change({ ...target.inspect(), cursor_s: null });
  });
  sheet.addEventListener("pointerdown", (event) => {
    if (
      event.button !== 0 ||
      event.pointerType === "touch" ||
      (event.target as Element).closest("button, .label") !== null
    )
      return;
    const at_s = moment(event);
    begun = at_s === null ? null : { x: event.clientX, at_s };
  });
  sheet.addEventListener("pointerup", (event) => {
    const at_s = moment(event);
    if (begun !== null && at_s !== null && Math.abs(event.clientX - begun.x) > dragPx)
      target.change(show(target.inspect(), Math.min(begun.at_s, at_s), Math.max(begun.at_s, at_s), target.length_s()));
    begun = null;
    target.drag(null);
  });
  // A press is a press with any pointer; a drag ends in one too, which is none.
  let from: { readonly x: number; readonly y: number } | null = null;
  sheet.addEventListener("pointerdown", (event) => {
    from = { x: event.clientX, y: event.clientY };
  });
  sheet.addEventListener("click", (event) => {
    const moved = from !== null && Math.hypot(event.clientX - from.x, event.clientY - from.y) > dragPx;
    if (!moved && (event.target as Element).closest("button, .label") === null) target.press(moment(event));
  });
  sheet.addEventListener(
    "wheel",
    (event) => {
      const at_s = moment(event);
      if (at_s === null || event.ctrlKey) return;
      event.preventDefault();
      target.change(zoom(target.inspect(), event.deltaY > 0 ? 1.25 : 0.8, at_s, target.length_s()));
    },
    { passive: false },
  );
  sheet.addEventListener("dblclick", () => target.change({ ...noInspect, frozen_s: target.inspect().frozen_s }));
}
