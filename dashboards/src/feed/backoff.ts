/** Waits between attempts to reach the service, in ms. The last one repeats for ever: a wall screen must come back by itself. */
const waitsMs = [0, 500, 1000, 2000, 4000, 8000] as const;

/**
 * How long to wait before attempt number `attempt` (0 first).
 * @param spread from 0 to 1; spreads the viewers of a restarted service over a fifth of the wait.
 */
export function waitBeforeAttempt(attempt: number, spread: number): number {
  const wait = waitsMs[Math.min(attempt, waitsMs.length - 1)];
  return Math.round(wait * (0.8 + 0.2 * spread));
}
