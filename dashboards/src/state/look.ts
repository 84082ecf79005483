import type { Place } from "../charts/geometry";

export type Theme = "auto" | "light" | "dark" | "contrast";
export const themes: readonly Theme[] = ["auto", "light", "dark", "contrast"];

/** The theme to draw: the one chosen, else what the system asks for. */
export function drawnTheme(chosen: Theme, prefersDark: boolean, prefersContrast: boolean): Exclude<Theme, "auto"> {
  if (chosen !== "auto") return chosen;
  return prefersContrast ? "contrast" : prefersDark ? "dark" : "light";
}

/** Where the page is looked at, from the size of its window; a wall says so in its address (`?place=wall`). */
export function placeFor(width: number, height: number, coarse: boolean, asked: string | null): Place {
  if (asked === "desk" || asked === "touch" || asked === "phone" || asked === "wall") return asked;
  if (Math.min(width, height) < 520) return "phone";
  return width < 1100 || (coarse && width < 1400) ? "touch" : "desk";
}
