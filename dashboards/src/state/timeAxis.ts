/** Lengths in s that an axis may have: each can be divided into few round steps. */
const lengths = [
  60, 120, 180, 240, 300, 360, 420, 480, 600, 720, 900, 1200, 1500, 1800, 2400, 3000, 3600, 5400, 7200, 10800,
];

/**
 * Length of the run's time axis in s. The run's usual length is laid out from the start and *now* travels through it;
 * a run that outlasts it gets the next round length, so the axis changes rarely and never crawls.
 * @param usual usual cycle in s; null when no good run is known yet
 * @param elapsed s since the run began
 */
export function axisLength(usual: number | null, elapsed: number): number {
  const planned = usual ?? 300;
  if (elapsed <= planned) return planned;
  return (
    lengths.find((length) => length > planned && length >= elapsed + 15) ?? Math.ceil((elapsed + 60) / 3600) * 3600
  );
}

/** Step of the time labels in s, so that at most `most` of them stand on the axis. */
export function timeStep(length: number, most: number): number {
  return [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600].find((step) => length / step <= most) ?? 7200;
}
