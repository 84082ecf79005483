import { type Asked, failed, isAbort } from "./asked";

/** A list that is fetched page by page, as somebody scrolls. */
export interface GrowingList<Of, Item> {
  readonly items: readonly Item[];
  /** Whether there are more. */
  readonly more: boolean;
  /** The page asked for last. */
  readonly asked: Asked<null>;
  /** Begins anew; what was asked before is no longer waited for. */
  begin(of: Of): void;
  /** Asks for the next page, unless one is on its way or there is none; after a failure it asks again. */
  next(): void;
  /** Nothing is waited for any more. */
  leave(): void;
}

export interface GrowingSource<Of, Item> {
  /** Fetches a page; `before`: the place after the one fetched last, null for the first. */
  fetch(of: Of, before: number | null, signal: AbortSignal): Promise<{ items: readonly Item[]; next: number | null }>;
  keyOf(item: Item): number;
  /** What was there stays while a list that begins anew is fetched, as it is of the same things. */
  readonly keeps: boolean;
}

export function createGrowingList<Of, Item>(
  source: GrowingSource<Of, Item>,
  nowMs: () => number,
  changed: () => void,
): GrowingList<Of, Item> {
  let items: Item[] = [];
  let before: number | null = null;
  let anew = false;
  let asked: Asked<null> = { kind: "here", value: null };
  let of: { readonly value: Of } | null = null;
  let waiting: AbortController | null = null;

  const ask = async (): Promise<void> => {
    if (of === null) return;
    const mine = new AbortController();
    waiting = mine;
    asked = { kind: "asking", sinceMs: nowMs() };
    changed();
    try {
      const page = await source.fetch(of.value, anew ? null : before, mine.signal);
      if (waiting !== mine) return;
      const kept = anew ? [] : items;
      const known = new Set(kept.map(source.keyOf));
      items = [...kept, ...page.items.filter((item) => !known.has(source.keyOf(item)))];
      before = page.next;
      anew = false;
      asked = { kind: "here", value: null };
    } catch (error) {
      if (waiting !== mine || isAbort(error)) return;
      asked = failed(error);
    }
    waiting = null;
    changed();
  };

  return {
    get items() {
      return items;
    },
    get more() {
      return before !== null;
    },
    get asked() {
      return asked;
    },
    begin(next) {
      waiting?.abort();
      of = { value: next };
      anew = true;
      if (!source.keeps) {
        items = [];
        before = null;
      }
      void ask();
    },
    next() {
      if (asked.kind === "asking" || (asked.kind === "here" && before === null)) return;
      void ask();
    },
    leave() {
      waiting?.abort();
      waiting = null;
      asked = { kind: "here", value: null };
      of = null;
    },
  };
}
