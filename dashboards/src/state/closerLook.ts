import type { Inspect } from "./inspect";

/** What somebody looks at closely in a run, as an address says it: whoever opens it sees the same. Seconds in the run. */
export interface CloserLook {
  /** The stretch shown; null: the whole run. */
  readonly window: { readonly from_s: number; readonly to_s: number } | null;
  /** Where a measurement begins, and where it ends; null: none. */
  readonly mark_s: number | null;
  readonly cursor_s: number | null;
  /** Where the picture is held; null: it goes on. */
  readonly held_s: number | null;
  /** Channel that stands out; null: none was chosen. */
  readonly channel: string | null;
}

export const plainLook: CloserLook = { window: null, mark_s: null, cursor_s: null, held_s: null, channel: null };

const tenth = (value: number): number => Math.round(value * 10) / 10;
/** Finer than readings come: the same reading is found again. */
const thousandth = (value: number): number => Math.round(value * 1000) / 1000;

/** What an address asks for; null: the plain picture. */
export function lookOf(query: URLSearchParams): CloserLook | null {
  const number = (name: string): number | null => {
    const value = Number.parseFloat(query.get(name) ?? "");
    return value >= 0 && Number.isFinite(value) ? value : null;
  };
  const [from_s, to_s] = [number("from"), number("to")];
  const look: CloserLook = {
    window: from_s === null || to_s === null || to_s <= from_s ? null : { from_s, to_s },
    mark_s: number("mark"),
    cursor_s: number("cursor"),
    held_s: number("held"),
    channel: query.get("channel"),
  };
  return Object.values(look).every((part) => part === null) ? null : look;
}

/** The same as parts of an address, always in one order; none for the plain picture. */
export function lookParts(look: CloserLook | null | undefined): string[] {
  if (look === null || look === undefined) return [];
  const { window, mark_s, cursor_s, held_s, channel } = look;
  return [
    window === null ? null : `from=${tenth(window.from_s)}&to=${tenth(window.to_s)}`,
    mark_s === null ? null : `mark=${thousandth(mark_s)}`,
    cursor_s === null ? null : `cursor=${thousandth(cursor_s)}`,
    held_s === null ? null : `held=${thousandth(held_s)}`,
    channel === null ? null : `channel=${encodeURIComponent(channel)}`,
  ].filter((part) => part !== null);
}

/** What can be handed on of a look: a cursor follows the pointer, so it counts only where it ends a measurement. */
export function lookFrom(inspect: Inspect, channel: string | null): CloserLook | null {
  const { window, mark_s, cursor_s, frozen_s } = inspect;
  const measures = mark_s !== null && cursor_s !== null;
  const look: CloserLook = {
    window,
    mark_s: measures ? mark_s : null,
    cursor_s: measures ? cursor_s : null,
    held_s: frozen_s,
    channel,
  };
  return Object.values(look).every((part) => part === null) ? null : look;
}
