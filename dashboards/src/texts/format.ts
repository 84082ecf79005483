/** Numbers and times as the page writes them, in the units and the time that the person chose; a no-break space before units. */
import { symbolOf, toShown, type Units } from "./units";

export const nbsp = "\u00a0";
const minus = "\u2212";
const two = (n: number): string => String(n).padStart(2, "0");

/** How one person reads: there is one at each page, so it is the page's and not passed through every call. */
export interface Reading extends Units {
  readonly decimal: "." | ",";
  /** Language tag for the names of months. */
  readonly language: string;
  /** Times of the day in UTC instead of local time. */
  readonly utc: boolean;
}

export const plainReading: Reading = {
  temperature: "degC",
  pressure: "mbar",
  decimal: ".",
  language: "en",
  utc: false,
};
let reading: Reading = plainReading;

/** From now on numbers and times are written so. */
export function readAs(next: Reading): void {
  reading = next;
}

/** The units in which is written now. */
export const shownUnits = (): Units => reading;

const written = (text: string): string => text.replace("-", minus).replace(".", reading.decimal);

/** A number with so many decimals and a true minus sign; never "-0". */
export function fixed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return written(value < 0 && Number(text) !== 0 ? `-${text}` : text);
}

/** A temperature carries a tenth, which is about the noise of an amplifier. */
export const temperature = (degC: number): string => fixed(toShown(degC, "degC", reading), 1);

/** Three significant digits, written out: 1010, 101, 10.1, 1.80, 0.0123. */
function threeDigits(value: number): string {
  if (value === 0) return "0";
  const digits = Math.floor(Math.log10(Math.abs(value)));
  if (digits >= 3) return fixed(Math.round(value / 10 ** (digits - 2)) * 10 ** (digits - 2), 0);
  const decimals = Math.max(0, 2 - digits);
  // 9.996 has three digits as 10.0, not as 10.00.
  const rounded = Number(value.toFixed(decimals));
  return fixed(rounded, Math.max(0, 2 - Math.floor(Math.log10(Math.abs(rounded)))));
}

export const pressure = (mbar: number): string => threeDigits(toShown(mbar, "mbar", reading));

/** No digits that say nothing. */
export const plain = (value: number): string =>
  written(String(Number(Math.abs(value) >= 1 || value === 0 ? value.toFixed(2) : value.toPrecision(3))));

/** A limit as somebody typed it, in the unit of the record that it has. */
export const limit = (value: number, unit = ""): string => plain(toShown(value, unit, reading));

/** Seconds: 0.1 s under 10 s and where the figure is final, else whole. */
export const seconds = (value: number, final: boolean): string => fixed(value, final || Math.abs(value) < 10 ? 1 : 0);

/** Time in a run, m:ss or h:mm:ss. */
export function runTime(value_s: number): string {
  const whole = Math.max(0, Math.floor(value_s + 1e-6));
  const minutes = Math.floor(whole / 60);
  return minutes < 60
    ? `${minutes}:${two(whole % 60)}`
    : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
}

/** Time of the day. */
export function clock(ms: number): string {
  const date = new Date(ms);
  return reading.utc
    ? `${date.toISOString().slice(11, 19)}${nbsp}UTC`
    : `${two(date.getHours())}:${two(date.getMinutes())}:${two(date.getSeconds())}`;
}

/** A day: 25 Nov 2026. */
export function day(ms: number): string {
  return new Intl.DateTimeFormat(reading.language === "en" ? "en-GB" : reading.language, {
    day: "numeric",
    month: "short",
    year: "numeric",
    ...(reading.utc ? { timeZone: "UTC" } : {}),
  }).format(ms);
}

/** The same moment in UTC, whatever is chosen. */
export const utc = (ms: number): string => `${new Date(ms).toISOString().slice(0, 19).replace("T", " ")} UTC`;

/** How long ago, or for how long: 0.3 s, 12 s, 2 min 15 s, 3 h 5 min. */
export function span(value_s: number): string {
  const value = Math.max(0, value_s);
  if (value < 9.95) return `${fixed(value, 1)}${nbsp}s`;
  return wholeSpan(value);
}

/** The same in whole seconds, where a tenth would only flicker. */
export function wholeSpan(value_s: number): string {
  const whole = Math.round(Math.max(0, value_s));
  if (whole < 60) return `${whole}${nbsp}s`;
  if (whole < 3600) return `${Math.floor(whole / 60)}${nbsp}min${whole % 60 === 0 ? "" : ` ${whole % 60}${nbsp}s`}`;
  return `${Math.floor(whole / 3600)}${nbsp}h ${Math.floor((whole % 3600) / 60)}${nbsp}min`;
}

/** "About" times: 5 s steps under a minute, 10 s steps above. */
export function about(value_s: number): string {
  const step = value_s < 20 ? 1 : value_s < 60 ? 5 : 10;
  return wholeSpan(Math.round(value_s / step) * step);
}

/** A figure's value, with the digits that it deserves. */
export function figure(value: number, unit: string, final: boolean): string {
  const shown = toShown(value, unit, reading);
  switch (unit) {
    case "s":
      return seconds(shown, final);
    case "mbar":
      return threeDigits(shown);
    case "1":
      return fixed(shown, Number.isInteger(shown) ? 0 : 1);
    case "K/s":
      return fixed(shown, final ? 2 : 1);
    case "1/s":
    case "mbar/s":
      return written(Number(shown.toPrecision(3)).toString());
    case "K·s":
      return fixed(shown, 0);
    default:
      return fixed(shown, 1);
  }
}

/** How a unit of the record is written where its values stand converted. */
export const unit = (name: string): string => symbolOf(name, reading);

/** A difference of a figure: kelvin where the figure is in degrees Celsius. */
export const differenceUnit = (name: string): string => unit(name === "degC" ? "K" : name);

/** A value and its unit, with a no-break space; where there is none, the value alone. */
export const withUnit = (text: string, name: string): string => {
  const symbol = unit(name);
  return symbol === "" ? text : `${text}${nbsp}${symbol}`;
};
