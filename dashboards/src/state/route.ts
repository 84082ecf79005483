import { decisionKinds } from "../feed/papers";
import { type QualitySpan, qualitySpans } from "../feed/quality";
import { anyRun, type RunFilter, type Verdict } from "../feed/records";
import { type CloserLook, lookOf, lookParts } from "./closerLook";

/** How two runs are laid over each other: at their starts, or where the first board reached liquidus. */
export type LinedUp = "start" | "liquidus";

/** Places that can be gone to by address; `cell` null: the one that the service names first. */
export type Route =
  | { readonly place: "floor"; readonly cell: number | null }
  | {
      readonly place: "cell";
      readonly cell: number | null;
      /** Run that is looked at closely, and how; left out: the one that goes on, plainly. */
      readonly closer?: { readonly run: number; readonly look: CloserLook };
    }
  | {
      readonly place: "alarms";
      readonly cell: number | null;
      /** Span that their quality is measured over; left out: a week. */
      readonly span?: QualitySpan;
    }
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
      /** What is looked at closely; left out: the whole run. */
      readonly look?: CloserLook;
    }
  | {
      readonly place: "overlay";
      readonly cell: number;
      readonly run: number;
      readonly other: number;
      readonly linedUp: LinedUp;
      /** What is looked at closely, s since the first of both begins; left out: both as a whole. */
      readonly look?: CloserLook;
    };
export type PlaceName = Route["place"];

const verdicts: readonly Verdict[] = ["pass", "fail", "undetermined"];
const decisions = [...decisionKinds, "waiting"] as const;
const isDay = (text: string): boolean => /^\d{4}-\d{2}-\d{2}$/.test(text);

/** Where an address leads: `#/cell/2`, `#/cell/2/run/24/over/21?at=liquidus`, `#/cell/2?run=25&from=200&to=240`. What is not known leads to the cell. */
export function routeOf(hash: string): Route {
  const [path, search = ""] = hash.replace(/^#/, "").split("?");
  const query = new URLSearchParams(search);
  const [, named, rest] = /^(?:\/cell\/(\d+))?(?:\/(.*))?$/.exec(path) ?? [];
  const cell = named === undefined ? null : Number(named);
  const steps = (rest ?? "").split("/");
  const [place, number, over, other] = steps;
  if (place === "floor") return { place, cell };
  if (place === "alarms") {
    const span = qualitySpans.find((known) => known !== "week" && known === query.get("span"));
    return { place, cell, ...(span === undefined ? {} : { span }) };
  }
  if (place === "feeds" || place === "codes") return { place, cell };
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
  const look = lookOf(query);
  const closer = look === null ? {} : { look };
  if (place === "run" && cell !== null && /^\d+$/.test(number ?? "")) {
    const run = Number(number);
    if (over === "over" && /^\d+$/.test(other ?? ""))
      return {
        place: "overlay",
        cell,
        run,
        other: Number(other),
        linedUp: query.get("at") === "liquidus" ? "liquidus" : "start",
        ...closer,
      };
    const at = Date.parse(query.get("at") ?? "");
    return {
      place: "run",
      cell,
      run,
      ...(Number.isNaN(at) ? {} : { atMs: at }),
      ...closer,
    };
  }
  const closely = query.get("run") ?? "";
  if (look !== null && /^\d+$/.test(closely)) return { place: "cell", cell, closer: { run: Number(closely), look } };
  return { place: "cell", cell };
}

const withQuery = (path: string, parts: readonly (string | null)[]): string => {
  const query = parts.filter((part) => part !== null);
  return query.length === 0 ? path : `${path}?${query.join("&")}`;
};

/** The address of a place; the same place has always the same. */
export function addressOf(route: Route): string {
  const cell = route.cell === null ? "" : `/cell/${route.cell}`;
  switch (route.place) {
    case "cell": {
      const path = route.cell === null ? "#/cell" : `#${cell}`;
      return route.closer === undefined
        ? path
        : withQuery(path, [`run=${route.closer.run}`, ...lookParts(route.closer.look)]);
    }
    case "floor":
      return `#${cell}/floor`;
    case "alarms":
      return withQuery(`#${cell}/alarms`, [
        route.span === undefined || route.span === "week" ? null : `span=${route.span}`,
      ]);
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
      const { atMs, look } = route;
      const at = atMs === undefined || atMs === null ? null : `at=${new Date(atMs).toISOString()}`;
      return withQuery(`#${cell}/run/${route.run}`, [at, ...lookParts(look)]);
    }
    case "overlay":
      return withQuery(`#${cell}/run/${route.run}/over/${route.other}`, [
        route.linedUp === "liquidus" ? "at=liquidus" : null,
        ...lookParts(route.look),
      ]);
  }
}
