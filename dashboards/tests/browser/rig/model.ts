/** A computed cell: eight thermocouples, vapour, transport, chamber pressure. Invented; made to look like a run, not to be one. */
export const cycle_s = 360;
export const pause_s = 60;
export const interval_s = 0.1;
/** When the newest run of the past began. */
export const lastRunMs = Date.UTC(2026, 10, 25, 12, 40, 0);
export const liquidus = 220;

export interface ModelChannel {
  readonly id: string;
  readonly name: string;
  readonly role: "product" | "vapour" | "transport" | "pressure";
  readonly lag_s: number;
  readonly offset: number;
  readonly device: "amp" | "gauge";
}

/** More thermocouples than curve styles, where the address asks for them. */
const more = typeof location !== "undefined" && new URLSearchParams(location.search).get("many") === "1" ? 8 : 0;

export const channels: readonly ModelChannel[] = [
  { id: "tc1", name: "Board 1 edge", role: "product", lag_s: 5, offset: 0.2, device: "amp" },
  { id: "tc2", name: "Board 1 choke", role: "product", lag_s: 9, offset: -1.1, device: "amp" },
  { id: "tc3", name: "Board 2 edge", role: "product", lag_s: 4, offset: 0.4, device: "amp" },
  { id: "tc4", name: "Board 2 driver", role: "product", lag_s: 6.5, offset: -0.4, device: "amp" },
  { id: "tc5", name: "Board 3 bus bar", role: "product", lag_s: 10, offset: -1.6, device: "amp" },
  { id: "tc6", name: "Board 3 driver", role: "product", lag_s: 7.5, offset: -0.2, device: "amp" },
  { id: "tc7", name: "Board 4 edge", role: "product", lag_s: 5.5, offset: 0, device: "amp" },
  { id: "tc8", name: "Board 4 coil", role: "product", lag_s: 8, offset: -0.8, device: "amp" },
  ...Array.from(
    { length: more },
    (_, i): ModelChannel => ({
      id: `tc${9 + i}`,
      name: `Board ${5 + (i >> 1)} ${i % 2 === 0 ? "edge" : "driver"}`,
      role: "product",
      lag_s: 4.5 + i * 0.7,
      offset: 0.3 - i * 0.2,
      device: "amp",
    }),
  ),
  { id: "vapour", name: "Vapour", role: "vapour", lag_s: 2, offset: 0.5, device: "amp" },
  { id: "transport", name: "Transport", role: "transport", lag_s: 16, offset: -12, device: "amp" },
  { id: "chamber", name: "Chamber", role: "pressure", lag_s: 0, offset: 0, device: "gauge" },
];

/** What heats or cools the boards at a second of the run, degC. */
function surroundings(t: number): number {
  if (t < 10) return 25;
  if (t < 105) return 25 + ((t - 10) * 146) / 95;
  if (t < 180) return 168 - (t - 105) * 0.02;
  if (t < 203) return 168 + (t - 180) * 2.75;
  if (t < 262) return 231.2 - (t - 203) * 0.045;
  return 40 + 188.5 * Math.exp(-(t - 262) / 62);
}

/** The vapour is there before the boards: it waits at the soak's level and then covers them. */
function vapour(t: number): number {
  if (t < 182) return 92 + 72 / (1 + Math.exp(-(t - 65) / 16));
  return 231.4 - 67 * Math.exp(-(t - 182) / 7) - Math.max(0, t - 262) * 0.25;
}

/** How many times the chamber is evacuated in a run, where the address asks for more than once. */
export const vacuumSteps =
  typeof location === "undefined" ? 1 : Number(new URLSearchParams(location.search).get("steps") ?? 1);
/** From one of several evacuations to the next, s. */
const apart_s = 13;

/** Chamber pressure at a second of the run, mbar. */
export function pressureAt(t: number, slowPump: boolean): number {
  if (vacuumSteps > 1) return severalTimes(t);
  const pumping = slowPump ? 19 : 15;
  const begin = 228;
  const vent = begin + pumping + 15;
  if (t < begin) return 1010;
  if (t < vent) return 1.75 + 1008 * Math.exp(-(t - begin) / (pumping / 5.8));
  return 1010 - 1008.2 * Math.exp(-(t - vent) / 1.2);
}

/** Short evacuations one after another, each vented before the next begins, mbar. */
function severalTimes(t: number): number {
  const first = 222;
  const nth = Math.floor((t - first) / apart_s);
  if (nth < 0 || nth >= vacuumSteps) return 1010;
  const since = t - first - nth * apart_s;
  return since < 9.3 ? 1.75 + 1008 * Math.exp(-since) : 1010 - 1008.2 * Math.exp(-(since - 9.3) / 1.2);
}

/** A steady stream of small numbers, the same in every run of a test. */
export function noise(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32 - 0.5;
  };
}

/** Temperatures step by step: each channel follows its surroundings with its own lag. */
export function createThermals(seed: number) {
  const jitter = noise(seed);
  const held = channels.map(() => 25);
  return {
    step(t: number): number[] {
      return channels.map((channel, i) => {
        if (channel.role === "pressure") return 0;
        const toward = surroundings(t) + channel.offset;
        if (t <= 0) held[i] = channel.role === "vapour" ? 92 : 25;
        if (channel.role === "vapour") return vapour(t) + jitter() * 0.25;
        held[i] += ((toward - held[i]) * interval_s) / channel.lag_s;
        return held[i] + jitter() * 0.25;
      });
    },
  };
}
