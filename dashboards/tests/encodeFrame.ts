import type { ScanFrame } from "../src/feed/contract";
import { frameBytes } from "../src/feed/frames";

/** Packs a scan as the service does. */
export function encodeFrame(
  cell: number,
  seq: number,
  t: number,
  values: readonly number[],
  qualities: readonly number[],
): ScanFrame {
  const data = new Uint8Array(frameBytes(values.length));
  const view = new DataView(data.buffer);
  for (let i = 0; i < values.length; i++) {
    view.setFloat32(i * 4, values[i], true);
    data[values.length * 4 + (i >> 2)] |= qualities[i] << ((i & 3) * 2);
  }
  return { cell, seq, t, data };
}
