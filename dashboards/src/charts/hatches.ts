import type { GapLive } from "../feed/contract";
import type { HatchPiece } from "./frameTypes";
import type { Box } from "./geometry";

/** A channel as far as its gaps matter: where its curve ended when it fell silent, px. */
export interface GapChannel {
  readonly id: string;
  /** Height of its last point before a time, px; null when there is none. */
  readonly heightAt: (before_s: number) => number | null;
  /** What is said where its thermocouple has come off. */
  readonly detached: string;
  /** Its newest reading is old now; since when, s in the run. */
  readonly silentSince_s: number | null;
}

interface Stretch {
  readonly from_s: number;
  readonly to_s: number;
  readonly detached: boolean;
}

/** Gaps of one channel, those that the engine marked and the one that the page itself sees going on. */
function stretches(channel: GapChannel, gaps: readonly GapLive[], originMs: number, now_s: number): Stretch[] {
  const found = gaps
    .filter((gap) => gap.channel === channel.id)
    .map((gap) => ({
      from_s: Math.max(0, (gap.start - originMs) / 1000),
      to_s: gap.end === null ? now_s : (gap.end - originMs) / 1000,
      detached: gap.reason === "detached",
    }))
    .filter((gap) => gap.to_s > 0);
  const since = channel.silentSince_s;
  if (since !== null && since < now_s && !found.some((gap) => gap.to_s >= now_s))
    found.push({ from_s: Math.max(0, since), to_s: now_s, detached: false });
  return found;
}

/** Where every list has a stretch. */
function common(lists: readonly (readonly Stretch[])[]): Stretch[] {
  return (
    lists.reduce<Stretch[] | null>(
      (left, right) =>
        left === null
          ? [...right]
          : left.flatMap((a) =>
              right
                .map((b) => ({
                  from_s: Math.max(a.from_s, b.from_s),
                  to_s: Math.min(a.to_s, b.to_s),
                  detached: false,
                }))
                .filter((c) => c.to_s > c.from_s),
            ),
      null,
    ) ?? []
  );
}

/**
 * What is hatched in a strip. Where all channels are silent the whole strip is, once; where one is, a band at the
 * height it had, from a ring where it fell silent.
 */
export function gapHatches(
  channels: readonly GapChannel[],
  gaps: readonly GapLive[],
  originMs: number,
  now_s: number,
  strip: Box,
): HatchPiece[] {
  if (channels.length === 0) return [];
  const lists = channels.map((channel) => stretches(channel, gaps, originMs, now_s));
  // A thermocouple that came off still reads: the strip is not silent then.
  const whole = common(lists.map((list) => list.filter((gap) => !gap.detached)));
  const bottom = strip.top + strip.height;
  const pieces: HatchPiece[] = whole.map(({ from_s, to_s }) => ({
    from_s,
    to_s,
    top: strip.top,
    bottom,
    ring: null,
    words: null,
  }));
  channels.forEach((channel, i) => {
    for (const gap of lists[i]) {
      if (!gap.detached && whole.some((column) => column.from_s < gap.to_s && gap.from_s < column.to_s)) continue;
      const { from_s, to_s } = gap;
      const height = channel.heightAt(from_s + 0.001);
      if (height !== null)
        pieces.push({
          ...{ from_s, to_s, top: height - 8, bottom: height + 8, ring: height },
          words: gap.detached ? channel.detached : null,
        });
    }
  });
  return pieces;
}
