import type { ScanFrame } from "./contract";

/** What a reading of one channel is worth in one scan. The order is that of the wire. */
export const Quality = { good: 0, uncertain: 1, bad: 2, absent: 3 } as const;
export type QualityCode = (typeof Quality)[keyof typeof Quality];

/** One scan, unpacked: values and qualities in the order of the layout's channels. */
export interface Scan {
  readonly seq: number;
  /** Milliseconds since 1970-01-01T00:00:00Z. */
  readonly t: number;
  /** NaN where there is no value. */
  readonly values: Float32Array;
  readonly qualities: Uint8Array;
}

/** Bytes that a frame of so many channels must have. */
export const frameBytes = (channels: number): number => channels * 4 + Math.ceil(channels / 4);

/** Unpacks a frame; null when it does not fit the layout (another layout is on its way then). */
export function decodeFrame(frame: ScanFrame, channels: number): Scan | null {
  const { data } = frame;
  if (data.byteLength !== frameBytes(channels)) return null;
  // The bytes sit anywhere inside a larger message, so a Float32Array over them could be misaligned.
  const view = new DataView(data.buffer, data.byteOffset, data.byteLength);
  const values = new Float32Array(channels);
  const qualities = new Uint8Array(channels);
  for (let i = 0; i < channels; i++) {
    values[i] = view.getFloat32(i * 4, true);
    const quality = (data[channels * 4 + (i >> 2)] >> ((i & 3) * 2)) & 3;
    // A reading that claims to be good but has no number is none.
    qualities[i] = quality <= Quality.uncertain && Number.isNaN(values[i]) ? Quality.bad : quality;
  }
  return { seq: frame.seq, t: frame.t, values, qualities };
}
