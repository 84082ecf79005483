import type { PhaseLive } from "../feed/contract";
import type { Track, UsualPhase } from "../feed/layoutContract";

/** A stretch of a phase ribbon, in s from the run's start. */
export interface RibbonPiece {
  readonly phase: string;
  readonly kind: "past" | "present" | "future";
  readonly from_s: number;
  readonly to_s: number;
  /** Usual length from its own start, drawn as a bracket; null when none is known. */
  readonly usual_s: number | null;
}

/**
 * What one track of the ribbon shows: phases as long as they lasted, the present one up to now, and those still to
 * come where they usually begin (or now, when they are late).
 */
export function ribbonPieces(
  track: Track,
  phases: readonly PhaseLive[],
  usual: readonly UsualPhase[],
  originMs: number,
  elapsed_s: number,
  running: boolean,
): RibbonPiece[] {
  const mine = phases.filter((phase) => phase.track === track);
  const expected = usual.filter((phase) => phase.track === track);
  const pieces: RibbonPiece[] = [];
  const count = new Map<string, number>();
  for (const phase of mine) {
    // The second hold of a run is measured against the usual second hold.
    const nth = count.get(phase.phase) ?? 0;
    count.set(phase.phase, nth + 1);
    const same = expected.filter((candidate) => candidate.phase === phase.phase).at(nth);
    pieces.push({
      phase: phase.phase,
      kind: phase.end === null && running ? "present" : "past",
      from_s: (phase.start - originMs) / 1000,
      to_s: phase.end === null ? elapsed_s : (phase.end - originMs) / 1000,
      usual_s: same?.duration_s ?? null,
    });
  }
  if (!running) return pieces;
  const seen = new Map<string, number>();
  let after = elapsed_s;
  for (const phase of expected.toSorted((a, b) => a.start_s - b.start_s)) {
    const nth = seen.get(phase.phase) ?? 0;
    seen.set(phase.phase, nth + 1);
    if (nth < (count.get(phase.phase) ?? 0)) continue;
    // One that should have come and gone while later ones were seen will not come any more.
    if (mine.some((later) => (later.start - originMs) / 1000 > phase.start_s + phase.duration_s)) continue;
    const from_s = Math.max(phase.start_s, after);
    after = from_s + phase.duration_s;
    pieces.push({ phase: phase.phase, kind: "future", from_s, to_s: after, usual_s: phase.duration_s });
  }
  return pieces;
}
