import { html, nothing, type TemplateResult } from "lit-html";
import { type BarContext, windowBar } from "../charts/bar";
import type { Place } from "../charts/geometry";
import type { UsualPhase } from "../feed/layoutContract";
import { namingOf } from "../state/alarmPrompt";
import { type FigureRow, figureRow } from "../state/figureRows";
import { type Trouble, troublesOf } from "../state/marks";
import type { Prompt } from "../state/promptTypes";
import { noteWords } from "../state/runPrompt";
import { finalFigure, type StoredRun } from "../state/storedRun";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { barContext } from "./barContext";
import { promptBar } from "./promptBar";

export interface RunPageInput {
  /** Null until it is there. */
  readonly stored: StoredRun | null;
  readonly prompt: Prompt;
  readonly again: (() => void) | null;
  readonly place: Place;
  readonly texts: Texts;
  readonly columnWidth: number;
  readonly head: TemplateResult;
  readonly urgent: TemplateResult | typeof nothing;
  readonly tools: TemplateResult | typeof nothing;
  /** What has been decided, and what can be. */
  readonly decision: TemplateResult | typeof nothing;
  /** What is said of the run. */
  readonly record: TemplateResult | typeof nothing;
}

/** One figure at every channel that has it: what the bar's channel was chosen from. */
function byChannel(row: FigureRow, stored: StoredRun, context: BarContext): TemplateResult | typeof nothing {
  const rows = stored.detail.figures
    .filter((figure) => figure.figure === row.figure && figure.lower === row.lower && figure.upper === row.upper)
    .map((figure) => figureRow(finalFigure(figure)))
    .sort((a, b) => (a.room ?? -1) - (b.room ?? -1));
  if (rows.length < 2) return nothing;
  const { texts } = context;
  return html`<table class="by-channel"><tbody>
    ${rows.map(
      (one) =>
        html`<tr class=${one.standing}><th scope="row">${one.channel === null ? "" : context.channelName(one.channel)}</th>
          <td>${one.value === null ? (texts.figures.reasons[one.reason ?? ""] ?? texts.figures.unknown) : write.withUnit(write.figure(one.value, one.unit, true), one.unit)}</td>
          <td class="second">${one.U === null ? "" : `± ${write.figure(one.U, one.unit === "degC" ? "K" : one.unit, true)}`}</td></tr>`,
    )}
  </tbody></table>`;
}

function figureColumn(stored: StoredRun, input: RunPageInput): TemplateResult {
  const { texts } = input;
  const { view, detail } = stored;
  const context = barContext(view, texts, input.columnWidth, input.place);
  const { spec } = detail.run;
  const withU = view.figures.some((row) => row.U !== null);
  return html`<aside class="figures" aria-label=${texts.figures.heading} tabindex="0">
    <div class="figures-head"><h2>${texts.figures.heading}</h2><span>${spec === null ? texts.figures.noSpec : texts.run.spec(spec.name, spec.version)}</span></div>
    ${view.figures.length === 0 && detail.run.kind === "production" ? html`<p class="second" data-testid="no-figures">${texts.run.noFigures}</p>` : nothing}
    ${withU ? html`<p class="second">${texts.run.uncertainty}</p>` : nothing}
    ${view.figures.map((row) => {
      const more = byChannel(row, stored, context);
      return more === nothing
        ? windowBar(row, context)
        : html`<details class="figure-more"><summary>${windowBar(row, context)}</summary>${more}</details>`;
    })}
  </aside>`;
}

/** What must be known with a run, and the readings that were not judged: a sentence a channel and kind, with where they are. */
function notesOf(stored: StoredRun, texts: Texts): string[] {
  const troubles = troublesOf(stored.view, stored.store.traces?.marks ?? []);
  const groups = new Map<string, Trouble[]>();
  for (const one of troubles) {
    const key = `${one.kind}/${stored.view.layout.channels[one.channel].id}`;
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  // Where the curve shows since when, that is said in place of the bare note.
  const noted = stored.detail.run.notes.filter((note) => !groups.has(note));
  return [
    ...noted.map((note) => noteWords(note, namingOf(stored.view.layout), texts)),
    ...[...groups.values()].map((group) => troubleWords(group, texts)),
  ];
}

function troubleWords(group: readonly Trouble[], texts: Texts): string {
  const [{ kind, name, from_s }] = group;
  if (kind === "detached") return texts.run.detached(name, write.runTime(from_s));
  const times = group.slice(0, 5).map((one) => write.runTime(one.from_s));
  return texts.run.spikes(name, times.join(", "), group.length, group.length > 5);
}

/** Phases as long as they lasted, and what must be known with the run. */
function phaseStrip(stored: StoredRun, record: TemplateResult | typeof nothing, texts: Texts): TemplateResult {
  const { phases } = stored.detail;
  const seen = new Map<string, number>();
  const usualOf = (phase: string, track: string): UsualPhase | null => {
    const key = `${track}/${phase}`;
    const nth = seen.get(key) ?? 0;
    seen.set(key, nth + 1);
    return (
      stored.view.layout.usualPhases.filter((usual) => usual.phase === phase && usual.track === track).at(nth) ?? null
    );
  };
  const length_s = stored.view.elapsed_s;
  const notes = notesOf(stored, texts);
  return html`<section class="phases" aria-label=${texts.run.phases} tabindex="0">
    ${
      phases.length === 0
        ? html`<p class="second" data-testid="no-phases">${texts.run.noPhases}</p>`
        : html`<table>
      <caption>${texts.run.phases}</caption>
      <thead><tr><th scope="col">${texts.run.phase}</th>${phases.map((phase) => html`<th scope="col">${texts.phases[phase.phase] ?? phase.phase}</th>`)}</tr></thead>
      <tbody>
        <tr><th scope="row">${texts.run.began}</th>${phases.map((phase) => html`<td>${write.runTime(phase.start_s)}</td>`)}</tr>
        <tr><th scope="row">${texts.run.took}</th>${phases.map((phase) => html`<td>${write.withUnit(write.fixed((phase.end_s ?? length_s) - phase.start_s, 1), "s")}</td>`)}</tr>
        ${
          stored.view.layout.usualPhases.length === 0
            ? nothing
            : html`<tr class="second"><th scope="row">${texts.run.usually}</th>${phases.map((phase) => {
                const usual = usualOf(phase.phase, phase.track);
                return html`<td>${usual === null ? "–" : write.withUnit(write.fixed(usual.duration_s, 1), "s")}</td>`;
              })}</tr>`
        }
      </tbody>
    </table>`
    }
    ${record}
    <div class=${notes.length === 0 ? "notes empty" : "notes"} data-testid="notes"><h2>${texts.run.notes}</h2>
      ${notes.length === 0 ? html`<p class="second">${texts.run.noNotes}</p>` : html`<ul>${notes.map((note) => html`<li>${note}</li>`)}</ul>`}</div>
  </section>`;
}

/** A run of the record. The sheet's own element is given in. */
export function runPage(input: RunPageInput, sheet: HTMLElement): TemplateResult {
  const { stored, texts } = input;
  return html`${input.head} ${input.urgent}
    <div class="top">${promptBar([input.prompt], null, texts, () => undefined)} ${input.decision}</div>
    ${input.again === null ? nothing : html`<p class="list-foot"><button type="button" class="plain" data-testid="again" @click=${input.again}>${texts.runs.again}</button></p>`}
    <div class="body stored">
      <div class="stored-left">
        <section class="sheet-frame" aria-label=${texts.chart.describe(stored?.view.temperatures.length ?? 0)}>
          ${sheet} ${stored === null ? nothing : input.tools}
        </section>
        ${stored === null ? nothing : phaseStrip(stored, input.record, texts)}
      </div>
      ${stored === null ? nothing : figureColumn(stored, input)}
    </div>`;
}
