/** Units that a person may choose to read; the record and the wire stay with degC and mbar. */
export const temperatureUnits = ["degC", "degF", "K"] as const;
export const pressureUnits = ["mbar", "hPa", "Pa", "Torr"] as const;
export type TemperatureUnit = (typeof temperatureUnits)[number];
export type PressureUnit = (typeof pressureUnits)[number];

export interface Units {
  readonly temperature: TemperatureUnit;
  readonly pressure: PressureUnit;
}

/** mbar in one unit of each. 1 Torr is 101325/760 Pa by definition. */
const mbarPer: Record<PressureUnit, number> = { mbar: 1, hPa: 1, Pa: 0.01, Torr: 101325 / 760 / 100 };
const symbols: Record<TemperatureUnit, string> = { degC: "°C", degF: "°F", K: "K" };

/** A value of the record in the unit that is shown. Differences (K) have no zero to move. */
export function toShown(value: number, unit: string, units: Units): number {
  const { temperature, pressure } = units;
  switch (unit) {
    case "degC":
      return temperature === "degC" ? value : temperature === "K" ? value + 273.15 : value * 1.8 + 32;
    case "K":
    case "K/s":
    case "K·s":
      return temperature === "degF" ? value * 1.8 : value;
    case "mbar":
    case "mbar/s":
      return value / mbarPer[pressure];
    default:
      return value;
  }
}

/** The way back: what the record calls a temperature or a pressure that is shown. */
export function fromShown(value: number, unit: "degC" | "mbar", units: Units): number {
  const { temperature, pressure } = units;
  if (unit === "mbar") return value * mbarPer[pressure];
  return temperature === "degC" ? value : temperature === "K" ? value - 273.15 : (value - 32) / 1.8;
}

/** How the unit that stands for one of the record is written. */
export function symbolOf(unit: string, units: Units): string {
  const difference = units.temperature === "degF" ? "°F" : "K";
  switch (unit) {
    case "degC":
      return symbols[units.temperature];
    case "K":
      return difference;
    case "K/s":
      return `${difference}/s`;
    case "K·s":
      return `${difference}·s`;
    case "mbar":
      return units.pressure;
    case "mbar/s":
      return `${units.pressure}/s`;
    default:
      return unit === "1" ? "" : unit;
  }
}
