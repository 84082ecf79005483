import { html, nothing, type TemplateResult } from "lit-html";
import { windowBar } from "../charts/bar";
import type { Place } from "../charts/geometry";
import type { CarrierNow } from "../state/carriers";
import { tightest } from "../state/figureRows";
import type { FirstStep } from "../state/firstSteps";
import type { Prompt } from "../state/promptTypes";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { barContext } from "./barContext";
import { farNumbers } from "./farNumbers";
import { promptBar, type Sending } from "./promptBar";
import { sheetTools, type ToolsInput } from "./sheetTools";
import { stepsPanel } from "./stepsPanel";

export interface CellPageInput {
  readonly view: CellView | null;
  readonly prompts: readonly Prompt[];
  readonly sending: Sending | null;
  readonly place: Place;
  readonly lost: boolean;
  /** Channels that an alarm names. */
  readonly alarmed: ReadonlySet<string>;
  readonly clockMs: number;
  readonly texts: Texts;
  readonly columnWidth: number;
  readonly acknowledge: (prompt: Prompt) => void;
  /** Asks what somebody did about an alarm. */
  readonly did: (prompt: Prompt) => void;
  /** Carriers that have had a run, in order. */
  readonly carriers: readonly CarrierNow[];
  readonly chooseCarrier: (carrier: string) => void;
  readonly tools: ToolsInput;
  readonly savePicture: () => void;
  readonly annotate: (() => void) | null;
  /** Links to the other places; nothing where there is a rail. */
  readonly links: TemplateResult | typeof nothing;
  /** Asks what is said of the cell's runs: that one begins, ends, what it is for. */
  readonly runControl: TemplateResult | typeof nothing;
  /** Once a run has ended: what has been decided of it, and what can be. */
  readonly decision: TemplateResult | typeof nothing;
  /** The path to a first run; null where it has been gone. */
  readonly steps: readonly FirstStep[] | null;
}

function headLine(input: CellPageInput): TemplateResult {
  const { view, texts, place } = input;
  const words = texts.head;
  const spec = view?.layout.spec ?? null;
  const run = view?.run ?? null;
  const several = input.carriers.length > 1;
  const demo = view?.layout.demo === true;
  // The run comes first, where room is short too: a product's name is known at its machine.
  const parts = [
    run === null ? null : words.run(run.number),
    run === null || several ? null : words.carrier(run.carrier),
    spec?.name ?? null,
    place === "desk" ? (spec?.alloy ?? null) : null,
  ]
    .filter((part) => part !== null)
    .join(" · ");
  const age = view?.ageMs ?? null;
  return html`<header class=${several ? "head several" : "head"}>
    ${input.links}
    <h1>${view?.layout.name ?? texts.product}</h1>
    <p class="head-what">${demo && place === "phone" ? html`<b data-testid="demo">${texts.demoShort}</b>${parts === "" ? nothing : " · "}` : nothing}${parts}</p>
    ${
      several
        ? html`<span class="carriers">${input.carriers.map(
            ({ name, phase, alarms }) =>
              html`<button type="button" data-testid=${`carrier-${name}`} aria-pressed=${name === run?.carrier} @click=${() => input.chooseCarrier(name)}>${alarms > 0 ? html`<b class="count">${alarms}</b> ` : nothing}${words.carrier(name)}${phase === null ? nothing : ` · ${texts.phaseNames[phase] ?? phase}`}</button>`,
          )}</span>`
        : nothing
    }
    ${place === "touch" ? nothing : input.runControl}
    ${demo && place !== "phone" ? html`<p class="demo" data-testid="demo">${place === "desk" ? texts.demo : texts.demoShort}</p>` : nothing}
    <p class=${view?.stale === true ? "head-age old" : "head-age"} data-testid="reading-age">
      ${
        age === null || view === null
          ? words.noReadings
          : `${place === "desk" ? words.age(write.span(age / 1000)) : words.ageShort(write.span(age / 1000))}${input.lost ? "" : ` · ${words.good(view.goodCount, view.channels.length)}`}`
      }
    </p>
    <p class="clock" data-testid="clock">${write.clock(input.clockMs)}</p>
  </header>`;
}

function figureColumn(view: CellView, input: CellPageInput): TemplateResult {
  const { texts } = input;
  const words = texts.figures;
  const spec = view.layout.spec;
  const context = barContext(view, texts, input.columnWidth, input.place);
  return html`<aside class="figures" aria-label=${words.heading}>
    <div class="figures-head"><h2>${words.heading}</h2><span>${spec === null ? words.noSpec : words.spec(spec.name, spec.version)}</span></div>
    ${spec !== null && view.figures.length === 0 ? html`<p class="second">${view.run?.kind === "production" ? words.unmeasured : words.none}</p>` : nothing}
    ${view.figures.map((row) => windowBar(row, context))}
  </aside>`;
}

/** On the panel: the three tightest, the rest one swipe away. */
function figureRow(view: CellView, input: CellPageInput): TemplateResult {
  const { texts } = input;
  const context = barContext(view, texts, Math.floor(input.columnWidth), input.place);
  const rows = tightest(view.figures);
  return html`<div class="figure-row-frame">
    <div class="figure-row" tabindex="0" role="group" aria-label=${texts.figures.heading}>${rows.map((row) => windowBar(row, context))}</div>
    ${rows.length > 3 ? html`<p class="swipe">${texts.figures.tightest} · ${texts.figures.swipe(rows.length - 3)}</p>` : nothing}
  </div>`;
}

function channelRow(channel: ChannelView, view: CellView, input: CellPageInput): TemplateResult {
  const { texts } = input;
  const alarmed = input.alarmed.has(channel.layout.id);
  const unit = write.unit(channel.layout.unit);
  const shown =
    channel.value === null
      ? texts.chart.noReading
      : channel.layout.unit === "mbar"
        ? write.pressure(channel.value)
        : write.temperature(channel.value);
  const ink = channel.style > 0 ? `ink-${channel.style}` : `ink-${channel.layout.role}`;
  return html`<tr class=${`${ink}${channel.stale ? " old" : ""}${alarmed || channel.layout.id === view.deciding ? " strong" : ""}${alarmed ? " alarmed" : ""}`} data-testid=${`label-${channel.layout.id}`}>
    <th scope="row"><svg width="22" height="8" aria-hidden="true"><line class="swatch" x1="0" x2="22" y1="4" y2="4"></line></svg>${channel.layout.name}</th>
    <td class="value" data-testid=${`value-${channel.layout.id}`}>${shown}</td>
    <td class="unit">${channel.value === null ? nothing : channel.stale ? `${unit} · ${texts.channels.old(write.span(channel.ageMs / 1000))}` : unit}</td>
  </tr>`;
}

/** The newest readings as a table: what a phone shows, and what stands for the curves where they cannot be seen. */
function channelTable(view: CellView, input: CellPageInput, hidden: boolean): TemplateResult {
  const { texts } = input;
  const channels = [...view.temperatures, ...(view.chamber === null ? [] : [view.chamber])];
  return html`<table class=${hidden ? "channels hidden" : "channels"} aria-label=${texts.chart.table}>
    <tbody>${channels.map((channel) => (hidden ? plainRow(channel, texts) : channelRow(channel, view, input)))}</tbody>
  </table>`;
}

const plainRow = (channel: ChannelView, texts: Texts): TemplateResult => html`<tr>
  <th scope="row">${channel.layout.name}</th>
  <td>${channel.value === null ? texts.chart.noReading : write.withUnit(write.figure(channel.value, channel.layout.unit, true), channel.layout.unit)}</td>
</tr>`;

/** The cell's page. The sheet's own element is given in, so that laying out the page never rebuilds the curves. */
export function cellPage(input: CellPageInput, sheet: HTMLElement): TemplateResult {
  const { view, place, texts } = input;
  return html`${headLine(input)}
    <div class="top">${promptBar(input.prompts, input.sending, texts, input.acknowledge, place === "wall" || input.lost ? null : input.did)} ${input.decision} ${place === "touch" ? input.runControl : nothing}</div>
    <div class="body">
      ${view !== null && place === "phone" ? html`<div class="phone-list">${input.steps === null ? nothing : stepsPanel(input.steps, html``, texts)}${channelTable(view, input, false)}${figureColumn(view, input)}</div>` : nothing}
      ${view !== null && place === "wall" ? farNumbers(view, input.alarmed, texts) : nothing}
      <section class="sheet-frame" aria-label=${texts.chart.describe(view?.temperatures.length ?? 0)}>
        ${sheet} ${view === null || place === "phone" || input.steps === null ? nothing : stepsPanel(input.steps, channelTable(view, input, false), texts)}
        ${view === null || place === "wall" || input.steps !== null ? nothing : sheetTools(input.tools, { elapsed_s: view.mode === "running" ? view.elapsed_s : null, savePicture: input.savePicture, annotate: input.annotate }, texts)}
        ${view !== null && place !== "phone" && input.steps === null ? channelTable(view, input, true) : nothing}
      </section>
      ${view !== null && place === "desk" ? figureColumn(view, input) : nothing}
      ${view !== null && place === "touch" ? figureRow(view, input) : nothing}
    </div>`;
}
