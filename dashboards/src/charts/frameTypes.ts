import type { SpecLayout } from "../feed/layoutContract";
import type { Annotation } from "../state/annotations";
import type { Texts } from "../texts/en";
import type { Gate } from "./gate";
import type { Place, Range, SheetGeometry } from "./geometry";
import type { Lens } from "./lens";
import type { RibbonPiece } from "./ribbon";

/** A stretch without readings; `top` and `bottom` in px. */
export interface HatchPiece {
  readonly from_s: number;
  readonly to_s: number;
  readonly top: number;
  readonly bottom: number;
  /** Height of a ring where one channel's trouble began; null for whole strips. */
  readonly ring: number | null;
  /** What is wrong there, where it is more than silence; null: readings are missing. */
  readonly words: string | null;
}

/** A single reading far from its neighbours; `value` in degC, or in mbar of the chamber. */
export interface SpikePoint {
  readonly at_s: number;
  readonly value: number;
  readonly isPressure: boolean;
  readonly name: string;
}

/** The cursor, and the measurement that it ends. */
export interface CursorInput {
  readonly at_s: number;
  readonly mark_s: number | null;
  /** What it says, in parts. */
  readonly words: readonly string[];
  /** What the channel measured at mark and cursor, degC; null where it is not known. */
  readonly ends: readonly [number, number] | null;
}

export interface FrameInput {
  readonly geometry: SheetGeometry;
  readonly place: Place;
  readonly axis: Range;
  readonly temperatures: Range;
  readonly pressures: Range;
  readonly spec: SpecLayout | null;
  /** Least upper limit of a peak, degC; null if none. */
  readonly peakLimit: number | null;
  readonly lowPeakLimit: number | null;
  /** Boards are measured: levels that are asked of them are drawn. */
  readonly boards: boolean;
  /** Labels of curves stand at the right end, where those of the peak limits would be. */
  readonly rightTaken: boolean;
  /** Where the reflow usually begins, s; null when not known. */
  readonly reflowFrom_s: number | null;
  readonly hasVacuum: boolean;
  /** No run is known yet from which phases could be drawn. */
  readonly learning: boolean;
  readonly thermal: readonly RibbonPiece[];
  /** Carrier whose run is drawn; null: none. */
  readonly carrier: string | null;
  /** Thermal phases of another carrier's run; null: none goes on. */
  readonly beside: { readonly carrier: string; readonly pieces: readonly RibbonPiece[] } | null;
  readonly vacuum: readonly RibbonPiece[];
  readonly gate: Gate | null;
  readonly lens: Lens | null;
  readonly hatches: readonly HatchPiece[];
  /** Single readings far from their neighbours, among those drawn. */
  readonly spikes: readonly SpikePoint[];
  /** What the cursor says; null without one. */
  readonly cursor: CursorInput | null;
  /** A stretch being dragged for a closer look, s. */
  readonly dragged: readonly [number, number] | null;
  readonly now: { readonly text: string; readonly at_s: number; readonly kind: "now" | "ended" | "waiting" | "torn" };
  /** Time labels go so far, s. */
  readonly labelledUntil_s: number;
  /** What somebody wrote at moments of the run. */
  readonly annotations: readonly Annotation[];
  readonly texts: Texts;
}

/** Usual width of a letter of the small size, px; larger under a glove and on a phone, and from afar twice as large. */
export const letterPx = (place: Place): number => (place === "wall" ? 15.4 : place === "desk" ? 7.7 : 8.8);
/** Whether a text has room in a width, by the usual width of its letters. */
export const fits = (text: string, width: number, place: Place, strong = false): boolean =>
  text.length * letterPx(place) * (strong ? 1.12 : 1) + 10 <= width;
