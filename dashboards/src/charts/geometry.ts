/** Where a page is looked at. Sizes and spacing change with it, colours do not. */
export type Place = "desk" | "touch" | "phone" | "wall";

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Places of everything on the sheet, in px from its corner. */
export interface SheetGeometry {
  readonly width: number;
  readonly height: number;
  readonly plot: Box;
  /** Top of the thermal and of the vacuum ribbon; null where there is no room for ribbons. */
  readonly ribbons: {
    readonly thermal: number;
    /** Of another carrier's run; null where none goes on. */
    readonly beside: number | null;
    readonly vacuum: number;
    readonly height: number;
  } | null;
  readonly pressure: Box | null;
  /** Bottom of everything that shares the time axis. */
  readonly floor: number;
}

interface Margins {
  left: number;
  readonly right: number;
  readonly top: number;
  readonly axis: number;
  readonly ribbon: number;
}

const margins: Record<Place, Margins> = {
  desk: { left: 68, right: 28, top: 28, axis: 30, ribbon: 24 },
  touch: { left: 76, right: 24, top: 28, axis: 32, ribbon: 24 },
  phone: { left: 46, right: 22, top: 6, axis: 28, ribbon: 24 },
  wall: { left: 120, right: 40, top: 48, axis: 56, ribbon: 40 },
};

/** Lays out temperatures above, ribbons between, pressure below, all over one time axis. */
export function sheetGeometry(width: number, height: number, place: Place, twoCarriers = false): SheetGeometry {
  const m = { ...margins[place] };
  // Ribbons have names beside them.
  if (place === "phone" && height >= 300) m.left = 72;
  const across = { left: m.left, width: Math.max(40, width - m.left - m.right) };
  const floor = height - m.axis;
  if (height < 300) {
    const plot = { ...across, top: m.top, height: Math.max(30, floor - m.top) };
    return { width, height, plot, ribbons: null, pressure: null, floor };
  }
  const extra = twoCarriers ? m.ribbon + 10 : 0;
  const between = m.ribbon * 2 + (place === "wall" ? 100 : 62) + extra;
  const pressureHeight = Math.round(Math.max(66, (height - m.top - m.axis - between) * 0.25));
  const plotHeight = Math.max(40, floor - m.top - between - pressureHeight);
  const plot = { ...across, top: m.top, height: plotHeight };
  const thermal = plot.top + plot.height + 16;
  return {
    width,
    height,
    plot,
    ribbons: {
      thermal,
      beside: twoCarriers ? thermal + m.ribbon + 10 : null,
      vacuum: thermal + m.ribbon + 14 + extra,
      height: m.ribbon,
    },
    pressure: { ...across, top: floor - pressureHeight, height: pressureHeight },
    floor,
  };
}

/** Least and greatest of an axis. */
export interface Range {
  readonly min: number;
  readonly max: number;
}

/** Range of the temperature axis of a closer look: what is drawn there, with a margin, and at least 4 K. */
export function closeRange(least: number, greatest: number): Range {
  const margin = Math.max((greatest - least) * 0.08, (4 - (greatest - least)) / 2, 0.3);
  return { min: least - margin, max: greatest + margin };
}

export const along = (range: Range, value: number): number => (value - range.min) / (range.max - range.min);
export const xOf = (box: Box, range: Range, seconds: number): number => box.left + along(range, seconds) * box.width;
export const yOf = (box: Box, range: Range, value: number): number => box.top + (1 - along(range, value)) * box.height;

/** The height of a pressure in its strip; the axis is logarithmic. */
export const yOfPressure = (box: Box, range: Range, mbar: number): number =>
  box.top + (1 - Math.log(mbar / range.min) / Math.log(range.max / range.min)) * box.height;

/** Range of the temperature axis: wide enough from the start for the run that is expected, and for what came. */
export function temperatureRange(least: number, greatest: number, highestLimit: number): Range {
  return {
    min: Math.min(20, Math.floor((least - 4) / 10) * 10),
    max: Math.max(highestLimit + 10, Math.ceil((greatest + 6) / 10) * 10),
  };
}

/** Range of the pressure axis in whole decades below, and a little above the atmosphere. */
export function pressureRange(least: number, target: number | null): Range {
  const lowest = Math.min(least > 0 ? least : 1, target ?? 1, 1000);
  return { min: Math.max(1e-4, 0.7 * 10 ** Math.floor(Math.log10(lowest))), max: 1400 };
}
