import type { Ask } from "../feed/records";

/** How often it is asked, ms: what goes by days, or comes with another configuration. */
const askMs = 60_000;

/**
 * Keeps in the background what the service says at an address.
 * @param read makes of an answer what is kept; @param told told when there is one
 * @returns what is known; takes whether the service answers now
 */
export function createAskedAgain<T>(
  ask: Ask,
  address: string,
  read: (answer: unknown) => T,
  nowMs: () => number,
  told: () => void,
): (reachable: boolean) => T | null {
  let known: T | null = null;
  let askedMs = Number.NEGATIVE_INFINITY;
  return (reachable) => {
    if (reachable && nowMs() - askedMs >= askMs) {
      askedMs = nowMs();
      ask(address, new AbortController().signal).then(
        (answer) => {
          known = read(answer);
          told();
        },
        () => undefined, // asked again in a minute; the record's own trouble has an alarm
      );
    }
    return known;
  };
}
