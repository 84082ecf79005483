import { decisionKinds } from "../feed/papers";
import { anyRun, type RunFilter, type Verdict } from "../feed/records";

/** How two runs are laid over each other: at their starts, or where the first board reached liquidus. */
export type LinedUp = "start" | "liquidus";

/** Places that can be gone to by address; `cell` null: the one that the service names first. */
export type Route =
  | { readonly place: "floor"; readonly cell: number | null }
  | { readonly place: "cell"; readonly cell: number | null }
  | { readonly place: "alarms"; readonly cell: number | null }
  | { readonly place: "feeds"; readonly cell: number | null }
  | { readonly place: "codes"; readonly cell: number | null }
  | {
      readonly place: "runs";
      readonly cell: number | null;
      readonly filter: RunFilter;
      /** Run for which another one is looked for, to lay over it; null: the list is looked through. */
      readonly over: number | null;
    }
  | {
      readonly place: "run";
      readonly cell: number;
      readonly run: number;
      /** Moment at which the cursor stands, ms since 1970; left out: none. */
      readonly atMs?: number | null;
      /** Stretch that is looked at closely, s in the run; left out: the whole run. */
      readonly window?: { readonly from_s: number; readonly to_s: number };
    }
  | {
      readonly place: "overlay";
      readonly cell: number;
      readonly run: number;
      readonly other: number;
      readonly linedUp: LinedUp;
    };
export type PlaceName = Route["place"];

const verdicts: readonly Verdict[] = ["pass", "fail", "undetermined"];
const decisions = [...decisionKinds, "waiting"] as const;
const isDay = (text: string): boolean => /^\d{4}-\d{2}-\d{2}$/.test(text);

/** Where an address leads: `#/cell/2`, `#/cell/2/run/24/over/21?at=liquidus`, `#/runs?verdict=fail`. What is not known leads to the cell. */
export function routeOf(hash: string): Route {
  const [path, search = ""] = hash.replace(/^#/, "").split("?");
  const query = new URLSearchParams(search);
  const [, named, rest] = /^(?:\/cell\/(\d+))?(?:\/(.*))?$/.exec(path) ?? [];
  const cell = named === undefined ? null : Number(named);
  const steps = (rest ?? "").split("/");
  const [place, number, over, other] = steps;
  if (place === "floor") return { place, cell };
  if (place === "alarms" || place === "feeds" || place === "codes") return { place, cell };
  if (place === "runs") {
    const verdict = verdicts.find((known) => known === query.get("verdict")) ?? "";
    const day = (name: string): string => {
      const text = query.get(name) ?? "";
      return isDay(text) ? text : "";
    };
    const filter = {
      ...anyRun,
      verdict,
      decision: decisions.find((known) => known === query.get("decision")) ?? "",
      product: query.get("product") ?? "",
      serial: query.get("serial") ?? "",
      spec: query.get("spec") ?? "",
      carrier: query.get("carrier") ?? "",
      from: day("from"),
      to: day("to"),
    } as const;
    const wanted = query.get("over") ?? "";
    return { place, cell, filter, over: /^\d+$/.test(wanted) ? Number(wanted) : null };
  }
  if (place === "run" && cell !== null && /^\d+$/.test(number ?? "")) {
    const run = Number(number);
    if (over === "over" && /^\d+$/.test(other ?? ""))
      return {
        place: "overlay",
        cell,
        run,
        other: Number(other),
        linedUp: query.get("at") === "liquidus" ? "liquidus" : "start",
      };
    const at = Date.parse(query.get("at") ?? "");
    const [from_s, to_s] = ["from", "to"].map((name) => Number.parseFloat(query.get(name) ?? ""));
    return {
      place: "run",
      cell,
      run,
      ...(Number.isNaN(at) ? {} : { atMs: at }),
      ...(from_s >= 0 && to_s > from_s ? { window: { from_s, to_s } } : {}),
    };
  }
  return { place: "cell", cell };
}

const tenth = (value: number): number => Math.round(value * 10) / 10;

/** The address of a place; the same place has always the same. */
export function addressOf(route: Route): string {
  const cell = route.cell === null ? "" : `/cell/${route.cell}`;
  switch (route.place) {
    case "cell":
      return route.cell === null ? "#/cell" : `#${cell}`;
    case "floor":
      return `#${cell}/floor`;
    case "alarms":
    case "feeds":
    case "codes":
      return `#${cell}/${route.place}`;
    case "runs": {
      const query = new URLSearchParams();
      for (const [key, value] of Object.entries(route.filter)) if (value !== "") query.set(key, value);
      if (route.over !== null) query.set("over", String(route.over));
      const text = query.toString();
      return `#${cell}/runs${text === "" ? "" : `?${text}`}`;
    }
    case "run": {
      const { atMs, window } = route;
      const parts = [
        atMs === undefined || atMs === null ? null : `at=${new Date(atMs).toISOString()}`,
        window === undefined ? null : `from=${tenth(window.from_s)}&to=${tenth(window.to_s)}`,
      ].filter((part) => part !== null);
      return `#${cell}/run/${route.run}${parts.length === 0 ? "" : `?${parts.join("&")}`}`;
    }
    case "overlay":
      return `#${cell}/run/${route.run}/over/${route.other}${route.linedUp === "liquidus" ? "?at=liquidus" : ""}`;
  }
}
