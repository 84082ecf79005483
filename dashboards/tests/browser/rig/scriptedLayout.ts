import type { CellLayout } from "../../../src/feed/layoutContract";
import { channels, cycle_s, interval_s, liquidus } from "./model";
import type { ScriptOptions } from "./scriptedHub";

export interface LayoutOf {
  readonly cell: number;
  readonly session: string;
  readonly options: ScriptOptions;
  readonly fromSeq: number;
  /** Time of the cell, ms. */
  readonly now: number;
}

const usualPhases = (track: "thermal" | "vacuum", phases: readonly (readonly [string, number, number])[]) =>
  phases.map(([phase, start_s, duration_s]) => ({ phase, track, start_s, duration_s }));

const limit = (figure: string, lower: number | null, upper: number | null, severity: "fail" | "warn" = "fail") => ({
  figure,
  lower,
  upper,
  level: null,
  severity,
  document: null,
});

/** What the played cell is: its channels, its usual run, and what is asked of it. */
export function scriptedLayout({ cell, session, options, fromSeq, now }: LayoutOf): CellLayout {
  const learnt: Pick<CellLayout, "usualCycle_s" | "usualPhases"> = {
    usualCycle_s: options.usual ? cycle_s : null,
    usualPhases: options.usual
      ? [
          ...usualPhases("thermal", [
            ["load", 0, 20],
            ["preheat", 22, 72],
            ["soak", 94, 92],
            ["ramp", 186, 15],
            ["reflow", 201, 66],
            ["cool", 268, 92],
          ]),
          ...usualPhases("vacuum", [
            ["evacuate", 228, 14],
            ["hold", 242, 16],
            ["vent", 258, 6],
          ]),
        ]
      : [],
  };
  const layout: Omit<CellLayout, "specs"> = {
    cell,
    name: options.name,
    demo: true,
    session,
    channels: channels.map((channel) => ({
      id: channel.id,
      name: channel.name,
      role: channel.role,
      place: channel.role === "product" ? "joint" : null,
      carrier: channel.role === "product" ? "B" : null,
      unit: channel.role === "pressure" ? "mbar" : "degC",
      device: channel.device,
      liquidus: channel.role === "product" ? liquidus : null,
    })),
    carriers: ["A", "B"],
    devices: [
      { id: "amp", name: "the amplifier", period_s: interval_s },
      { id: "gauge", name: "the chamber gauge", period_s: interval_s },
    ],
    interval_s,
    fromSeq,
    ...learnt,
    spec: options.spec
      ? {
          name: "Inverter power board PB-6",
          version: 3,
          alloy: "SAC305",
          solidus: 217,
          liquidus,
          soakFrom: 150,
          soakTo: 180,
          vacuumTarget: 5,
          limits: [
            limit("soakTime", 60, 120),
            limit("peakTemperature", null, options.peakLimit),
            limit("sustainedPeak", 226, null),
            limit("liquidusSpread", null, 15),
            limit("timeAboveLiquidus", 45, 90),
            limit("pumpDownTime", null, 20, "warn"),
            limit("vacuumHold", 10, null),
            limit("moltenAtEvacuation", 5, null),
          ],
          ...learnt,
        }
      : null,
    now,
  };
  return { ...layout, specs: layout.spec === null ? [] : [layout.spec] };
}
