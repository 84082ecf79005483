import { type Inspect, noInspect, pan, point, show, zoom } from "../state/inspect";
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

/**
 * Cursor by moving, a closer look by dragging or by the wheel, earlier and later with Shift, the whole run by a double
 * press. Fingers move a closer look and pull it closer or wider.
 */
export function attachPointer(sheet: HTMLElement, target: PointerTarget): void {
  let begun: { readonly x: number; readonly at_s: number } | null = null;
  /** Where a drag that moves the stretch was last, px; null: none. */
  let moving: number | null = null;

  const moveBy = (px: number): void => {
    const width = target.axes()?.geometry.plot.width ?? 1;
    target.change(pan(target.inspect(), px / width, target.length_s()));
  };
  const moment = (event: MouseEvent): number | null => {
    const axes = target.axes();
    if (axes === null) return null;
    const { plot } = axes.geometry;
    const x = event.clientX - sheet.getBoundingClientRect().left - plot.left;
    if (x < 0 || x > plot.width) return null;
    return axes.axis.min + (x / plot.width) * (axes.axis.max - axes.axis.min);
  };

  sheet.addEventListener("pointermove", (event) => {
    if (event.pointerType === "touch") return;
    if (moving !== null) {
      moveBy(moving - event.clientX);
      moving = event.clientX;
      return;
    }
    if (target.inspect().pinned) return;
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
    moving = null;
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
    if (event.shiftKey && at_s !== null) {
      moving = event.clientX;
      return;
    }
    begun = at_s === null ? null : { x: event.clientX, at_s };
  });
  sheet.addEventListener("pointerup", (event) => {
    const at_s = moment(event);
    if (begun !== null && at_s !== null && Math.abs(event.clientX - begun.x) > dragPx)
      target.change(show(target.inspect(), Math.min(begun.at_s, at_s), Math.max(begun.at_s, at_s), target.length_s()));
    begun = null;
    moving = null;
    target.drag(null);
  });
  attachFingers(sheet, target, moveBy);
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
      // A wheel with Shift, or one that turns sideways, goes along the run.
      const sideways = event.shiftKey ? event.deltaX + event.deltaY : event.deltaX;
      if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY))
        target.change(pan(target.inspect(), Math.sign(sideways) * 0.1, target.length_s()));
      else target.change(zoom(target.inspect(), event.deltaY > 0 ? 1.25 : 0.8, at_s, target.length_s()));
    },
    { passive: false },
  );
  sheet.addEventListener("dblclick", () => target.change({ ...noInspect, frozen_s: target.inspect().frozen_s }));
}

/** One finger moves a closer look, two pull it closer or wider; a finger on the whole run scrolls the page as ever. */
function attachFingers(sheet: HTMLElement, target: PointerTarget, moveBy: (px: number) => void): void {
  const fingers = new Map<number, number>();
  const spread = (): { readonly middle: number; readonly apart: number } | null => {
    if (fingers.size !== 2) return null;
    const [a, b] = [...fingers.values()];
    return { middle: (a + b) / 2, apart: Math.max(24, Math.abs(a - b)) };
  };
  sheet.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "touch") fingers.set(event.pointerId, event.clientX);
  });
  sheet.addEventListener("pointermove", (event) => {
    const before_x = fingers.get(event.pointerId);
    if (before_x === undefined) return;
    const before = spread();
    fingers.set(event.pointerId, event.clientX);
    const after = spread();
    const axes = target.axes();
    if (axes === null) return;
    if (before === null || after === null) {
      if (fingers.size === 1) moveBy(before_x - event.clientX);
      return;
    }
    const { plot } = axes.geometry;
    const part = (after.middle - sheet.getBoundingClientRect().left - plot.left) / plot.width;
    const at_s = axes.axis.min + part * (axes.axis.max - axes.axis.min);
    target.change(zoom(target.inspect(), before.apart / after.apart, at_s, target.length_s()));
  });
  for (const name of ["pointerup", "pointercancel", "pointerleave"] as const)
    sheet.addEventListener(name, (event) => fingers.delete(event.pointerId));
}
