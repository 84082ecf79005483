/** Colours and strokes of the curves as the tokens of the present theme and place say. */
export interface CurveInk {
  readonly stroke: string;
  readonly dash: number[];
  readonly width: number;
}
export interface Inks {
  curve(style: number): CurveInk;
  readonly vapour: CurveInk;
  readonly transport: CurveInk;
  readonly pressure: CurveInk;
  readonly decidingWidth: number;
  readonly hatch: string;
  readonly sheet: string;
  readonly ink: string;
}

export function readInks(): Inks {
  const style = getComputedStyle(document.documentElement);
  const text = (name: string): string => style.getPropertyValue(name).trim();
  const width = (name: string): number => Number.parseFloat(text(name)) || 2;
  const dash = (name: string): number[] => (text(name) === "none" ? [] : text(name).split(/\s+/).map(Number));
  return {
    curve: (n) => ({ stroke: text(`--c${n}`), dash: dash(`--d${n}`), width: width("--w-curve") }),
    vapour: { stroke: text("--c-vapour"), dash: dash("--d-vapour"), width: width("--w-quiet") },
    transport: { stroke: text("--c-transport"), dash: dash("--d-transport"), width: width("--w-quiet") },
    pressure: { stroke: text("--c-pressure"), dash: [], width: width("--w-curve") },
    decidingWidth: width("--w-deciding"),
    hatch: text("--hatch"),
    sheet: text("--sheet"),
    ink: text("--ink"),
  };
}

/** The ink of a channel by its role. */
export function inkOf(inks: Inks, role: string, style: number): CurveInk {
  if (style > 0) return inks.curve(style);
  return role === "vapour" ? inks.vapour : role === "pressure" ? inks.pressure : inks.transport;
}
