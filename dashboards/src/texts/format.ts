/** Numbers and times as the page writes them. All in the user's local time; a no-break space before units. */
export const nbsp = "\u00a0";
const minus = "\u2212";
const two = (n: number): string => String(n).padStart(2, "0");

/** A number with so many decimals and a true minus sign; never "-0". */
export function fixed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `${minus}${text}` : text;
}

/** Temperatures carry 0.1 degC, which is about the noise of an amplifier. */
export const temperature = (degC: number): string => fixed(degC, 1);

/** Three significant digits, written out: 1010, 101, 10.1, 1.80, 0.0123. */
export function pressure(mbar: number): string {
  if (mbar === 0) return "0";
  const digits = Math.floor(Math.log10(Math.abs(mbar)));
  if (digits >= 3) return fixed(Math.round(mbar / 10 ** (digits - 2)) * 10 ** (digits - 2), 0);
  const decimals = Math.max(0, 2 - digits);
  // 9.996 has three digits as 10.0, not as 10.00.
  const rounded = Number(mbar.toFixed(decimals));
  return fixed(rounded, Math.max(0, 2 - Math.floor(Math.log10(Math.abs(rounded)))));
}

/** A limit as somebody typed it: no digits that say nothing. */
export const limit = (value: number): string => String(Number(value.toFixed(2))).replace("-", minus);

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

/** Time of the day, local. */
export function clock(ms: number): string {
  const date = new Date(ms);
  return `${two(date.getHours())}:${two(date.getMinutes())}:${two(date.getSeconds())}`;
}

/** How long ago, or for how long: 0.3 s, 12 s, 2 min 15 s, 3 h 5 min. */
export function span(value_s: number): string {
  const value = Math.max(0, value_s);
  if (value < 9.95) return `${value.toFixed(1)}${nbsp}s`;
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

/** A figure's value in its unit, with the digits that it deserves. */
export function figure(value: number, unit: string, final: boolean): string {
  switch (unit) {
    case "s":
      return seconds(value, final);
    case "mbar":
      return pressure(value);
    case "1":
      return fixed(value, Number.isInteger(value) ? 0 : 1);
    case "K/s":
      return fixed(value, final ? 2 : 1);
    case "1/s":
    case "mbar/s":
      return Number(value.toPrecision(3)).toString().replace("-", minus);
    case "K·s":
      return fixed(value, 0);
    default:
      return fixed(value, 1);
  }
}

/** How a unit is written. */
export const unit = (name: string): string => (name === "degC" ? "°C" : name === "1" ? "" : name);

/** A difference of a figure: kelvin where the figure is in degrees Celsius. */
export const differenceUnit = (name: string): string => (name === "degC" ? "K" : unit(name));
