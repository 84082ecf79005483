import { html, nothing, render, svg, type TemplateResult } from "lit-html";
import type { Place } from "../charts/geometry";
import { anyRun } from "../feed/records";
import { drawnTheme, placeFor, type Theme, themes } from "../state/look";
import type { Preferences } from "../state/preferences";
import { addressOf, type PlaceName } from "../state/route";
import type { Texts } from "../texts/en";
import { keysDialog } from "./keysDialog";

/** What surrounds every page: the rail, the dialog of keys, the voices, and how it all looks. */
export interface Shell {
  readonly frame: HTMLElement;
  readonly page: HTMLElement;
  /** Where questions are put. */
  readonly asks: HTMLElement;
  /** Where dialogs of a place stand. */
  readonly more: HTMLElement;
  place(): Place;
  /** Draws the rail. */
  rail(here: Here): void;
  /** Links to the places that exist. */
  places(here: Here): TemplateResult;
  /** Whether what is laid out now goes to paper. */
  printing(): boolean;
  /** Says something to those who listen; `urgent` interrupts. */
  say(text: string, urgent: boolean): void;
  openKeys(): void;
  nextLook(): void;
}

/** Where one is, and what the places that can be gone to have to say. */
export interface Here {
  readonly at: PlaceName;
  /** How many alarms stand; the number is beside their place. */
  readonly alarms: number;
  /** The cell that the address names: links stay with it. */
  readonly cell: number | null;
  /** Whether the service has feeds; without any they have no place. */
  readonly feeds: boolean;
}

const themeKey = "thermowatch.theme";

const outer = () => html`<div class="shell"><nav class="rail"></nav><main class="page" id="main"></main></div>
  <div class="sr-only" role="status" aria-live="polite"></div>
  <div class="sr-only" role="alert"></div>
  <div class="dialogs"></div>
  <div class="asks"></div>
  <div class="more"></div>
  <svg class="sr-only" aria-hidden="true">
    <defs>
      <pattern id="bar-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <line class="hatch-line" x1="0" y1="0" x2="0" y2="6"></line>
      </pattern>
    </defs>
  </svg>`;

type Listed = "floor" | "cell" | "runs" | "alarms" | "feeds";
const listed: readonly Listed[] = ["floor", "cell", "runs", "alarms", "feeds"];
/** In which place of the list one is. */
const listedAs: Record<PlaceName, Listed> = {
  floor: "floor",
  cell: "cell",
  runs: "runs",
  run: "runs",
  overlay: "runs",
  alarms: "alarms",
  feeds: "feeds",
  codes: "cell",
};

const signs: Record<Listed, TemplateResult> = {
  floor: svg`<path d="M2 2H7V7H2ZM9 2H14V7H9ZM2 9H7V14H2ZM9 9H14V14H9Z"></path>` as TemplateResult,
  runs: svg`<path d="M1 3H15M1 8H15M1 13H15"></path>` as TemplateResult,
  cell: svg`<path d="M1 13C5 13 5 4 8 4s3 9 7 9"></path>` as TemplateResult,
  alarms: svg`<path d="M8 2L15 14H1Z"></path>` as TemplateResult,
  feeds: svg`<path d="M1 8H6M6 8L13 3H15M6 8H15M6 8L13 13H15"></path>` as TemplateResult,
};

function places({ at, alarms, cell, feeds }: Here, texts: Texts): TemplateResult {
  const address = (name: Listed): string =>
    name === "runs" ? addressOf({ place: name, cell, filter: anyRun, over: null }) : addressOf({ place: name, cell });
  return html`${listed
    .filter((name) => name !== "feeds" || feeds || at === "feeds")
    .map(
      (
        name,
      ) => html`<a href=${address(name)} class="place" data-testid=${`place-${name}`} aria-current=${name === listedAs[at] ? "page" : nothing}>
      <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">${signs[name]}</svg>${texts.places[name]}
      ${name === "alarms" && alarms > 0 ? html`<b class="count">${alarms}</b>` : nothing}
    </a>`,
    )}`;
}

export interface ShellOptions {
  /** The look is another one: read inks and sizes again. */
  readonly changed: () => void;
  readonly preferences: () => Preferences;
  readonly choose: (preferences: Preferences) => void;
}

export function createShell(root: HTMLElement, texts: Texts, options: ShellOptions): Shell {
  render(outer(), root);
  const part = (selector: string): HTMLElement => root.querySelector(selector) as HTMLElement;
  const rail = part(".rail");
  const dialogs = part(".dialogs");
  const asked = new URL(location.href).searchParams.get("place");
  let theme = readTheme();
  let place: Place = "desk";
  let drawnRail = "";
  let printing = false;

  const apply = (): void => {
    const matches = (query: string): boolean => matchMedia(query).matches;
    printing = matches("print");
    place = printing ? "desk" : placeFor(innerWidth, innerHeight, matches("(pointer: coarse)"), asked);
    const { dataset } = document.documentElement;
    // Paper is white, whatever the screen is.
    dataset.theme = printing
      ? "light"
      : drawnTheme(theme, matches("(prefers-color-scheme: dark)"), matches("(prefers-contrast: more)"));
    dataset.place = place;
    drawDialog();
  };
  function drawDialog(): void {
    render(
      keysDialog(texts, {
        theme,
        chooseTheme: setTheme,
        preferences: options.preferences(),
        choose: (next) => {
          options.choose(next);
          drawDialog();
        },
        codes: addressOf({ place: "codes", cell: null }),
      }),
      dialogs,
    );
  }
  const reapply = (): void => {
    apply();
    options.changed();
  };
  function setTheme(next: Theme): void {
    theme = next;
    try {
      localStorage.setItem(themeKey, next);
    } catch {
      // A browser that keeps nothing still shows the look that was chosen.
    }
    reapply();
  }
  const openKeys = (): void => {
    drawDialog();
    const dialog = dialogs.querySelector("dialog");
    if (dialog?.open === false) dialog.showModal();
  };

  apply();
  addEventListener("resize", reapply);
  for (const query of ["(prefers-color-scheme: dark)", "(prefers-contrast: more)", "print"])
    matchMedia(query).addEventListener("change", reapply);
  return {
    frame: part(".shell"),
    page: part(".page"),
    asks: part(".asks"),
    more: part(".more"),
    place: () => place,
    printing: () => printing,
    places: (here) => places(here, texts),
    rail(here) {
      const key = Object.values(here).join("/");
      if (drawnRail === key) return;
      drawnRail = key;
      render(
        html`${places(here, texts)}<button type="button" class="rail-foot" @click=${openKeys}>${texts.keysHint}</button>`,
        rail,
      );
    },
    say(text, urgent) {
      // Places have voices of their own; these two are the shell's.
      part(".sr-only[role=alert]").textContent = urgent ? text : "";
      if (!urgent) part(".sr-only[role=status]").textContent = text;
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
