/** Places that can be gone to by address. */
export type Route = "cell" | "alarms";

/** Where an address leads, and which cell it names: `#/cell/2`, `#/alarms`. What is not known leads to the cell. */
export function routeOf(hash: string): { readonly route: Route; readonly cell: number | null } {
  const cell = /^#\/cell\/(\d+)/.exec(hash)?.[1];
  return { route: /^#\/alarms\b/.test(hash) ? "alarms" : "cell", cell: cell === undefined ? null : Number(cell) };
}
