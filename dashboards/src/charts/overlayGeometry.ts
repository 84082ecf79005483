import type { Box, Place, SheetGeometry } from "./geometry";

/** Places of what stands on the sheet of two runs, px. */
export interface OverlayGeometry extends SheetGeometry {
  readonly difference: Box;
}

/** Temperatures above, a ribbon for each run, the pressures, and their difference below, over one time axis. */
export function overlayGeometry(width: number, height: number, place: Place): OverlayGeometry {
  const left = place === "phone" ? 62 : place === "touch" ? 84 : 72;
  const right = place === "phone" ? 16 : 116;
  const across = { left, width: Math.max(40, width - left - right) };
  const floor = height - 30;
  const fixed = 28 + 24 * 2 + 10 + 16 + 44 + 44;
  const free = Math.max(180, floor - fixed);
  const plot = { ...across, top: 28, height: Math.round(free * 0.56) };
  const thermal = plot.top + plot.height + 14;
  const pressure = { ...across, top: thermal + 58 + 34, height: Math.round(free * 0.2) };
  const top = pressure.top + pressure.height + 40;
  return {
    width,
    height,
    plot,
    ribbons: { beside: null, thermal, vacuum: thermal + 30, height: 24 },
    pressure,
    difference: { ...across, top, height: Math.max(40, floor - top) },
    floor,
  };
}
