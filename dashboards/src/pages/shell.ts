import { html, nothing, render, svg, type TemplateResult } from "lit-html";
import type { Place } from "../charts/geometry";
import { drawnTheme, placeFor, type Theme, themes } from "../state/look";
import type { Route } from "../state/route";
import type { Texts } from "../texts/en";
import { keysDialog } from "./keysDialog";

/** What surrounds every page: the rail, the dialog of keys, the voices, and how it all looks. */
export interface Shell {
  readonly frame: HTMLElement;
  readonly page: HTMLElement;
  place(): Place;
  /** Draws the rail for where one is; `alarms` stands beside their place. */
  rail(route: Route, alarms: number): void;
  /** Says something to those who listen; `urgent` interrupts. */
  say(text: string, urgent: boolean): void;
  openKeys(): void;
  nextLook(): void;
}

const themeKey = "thermowatch.theme";

const outer = () => html`<div class="shell"><nav class="rail"></nav><main class="page" id="main"></main></div>
  <div class="sr-only" role="status" aria-live="polite"></div>
  <div class="sr-only" role="alert"></div>
  <div class="dialogs"></div>
  <svg class="sr-only" aria-hidden="true">
    <defs>
      <pattern id="bar-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <line class="hatch-line" x1="0" y1="0" x2="0" y2="6"></line>
      </pattern>
    </defs>
  </svg>`;

const signs: Record<Route, TemplateResult> = {
  cell: svg`<path d="M1 13C5 13 5 4 8 4s3 9 7 9"></path>` as TemplateResult,
  alarms: svg`<path d="M8 2L15 14H1Z"></path>` as TemplateResult,
};

/** Links to the places that exist. */
export function places(route: Route, alarms: number, texts: Texts): TemplateResult {
  return html`${(["cell", "alarms"] as const).map(
    (
      name,
    ) => html`<a href=${`#/${name}`} class="place" data-testid=${`place-${name}`} aria-current=${name === route ? "page" : nothing}>
      <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">${signs[name]}</svg>${texts.places[name]}
      ${name === "alarms" && alarms > 0 ? html`<b class="count">${alarms}</b>` : nothing}
    </a>`,
  )}`;
}

/** @param changed the look is another one: read inks and sizes again */
export function createShell(root: HTMLElement, texts: Texts, changed: () => void): Shell {
  render(outer(), root);
  const part = (selector: string): HTMLElement => root.querySelector(selector) as HTMLElement;
  const rail = part(".rail");
  const dialogs = part(".dialogs");
  const asked = new URL(location.href).searchParams.get("place");
  let theme = readTheme();
  let place: Place = "desk";
  let drawnRail = "";

  const apply = (): void => {
    const matches = (query: string): boolean => matchMedia(query).matches;
    place = placeFor(innerWidth, innerHeight, matches("(pointer: coarse)"), asked);
    const { dataset } = document.documentElement;
    dataset.theme = drawnTheme(theme, matches("(prefers-color-scheme: dark)"), matches("(prefers-contrast: more)"));
    dataset.place = place;
    render(keysDialog(texts, theme, setTheme), dialogs);
  };
  const reapply = (): void => {
    apply();
    changed();
  };
  const setTheme = (next: Theme): void => {
    theme = next;
    try {
      localStorage.setItem(themeKey, next);
    } catch {
      // A browser that keeps nothing still shows the look that was chosen.
    }
    reapply();
  };
  const openKeys = (): void => {
    const dialog = dialogs.querySelector("dialog");
    if (dialog?.open === false) dialog.showModal();
  };

  apply();
  addEventListener("resize", reapply);
  for (const query of ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"])
    matchMedia(query).addEventListener("change", reapply);
  return {
    frame: part(".shell"),
    page: part(".page"),
    place: () => place,
    rail(route, alarms) {
      if (drawnRail === `${route}${alarms}`) return;
      drawnRail = `${route}${alarms}`;
      render(
        html`${places(route, alarms, texts)}<button type="button" class="rail-foot" @click=${openKeys}>${texts.keysHint}</button>`,
        rail,
      );
    },
    say(text, urgent) {
      part("[role=alert]").textContent = urgent ? text : "";
      if (!urgent) part("[role=status]").textContent = text;
    },
    openKeys,
    nextLook: () => setTheme(themes[(themes.indexOf(theme) + 1) % themes.length]),
  };
}

function readTheme(): Theme {
  try {
    return themes.find((name) => name === localStorage.getItem(themeKey)) ?? "auto";
  } catch {
    return "auto";
  }
}
