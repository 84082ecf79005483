import { html, nothing, type TemplateResult } from "lit-html";
import type { RecordEdit, RecordFields, RunRecord } from "../feed/papers";
import { keepPerson } from "../state/person";
import type { RunPaper } from "../state/runPapers";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Question } from "./askDialog";
import { byField } from "./byField";
import { when } from "./when";

const texted = ["product", "position", "pasteLot", "operator", "remarks"] as const;
const numbered = ["load", "recipe"] as const;
const order: readonly (keyof RecordFields)[] = [
  "product",
  "serials",
  "load",
  "recipe",
  "position",
  "pasteLot",
  "operator",
  "remarks",
];

/** A field as one line. */
const line = (record: RecordFields, field: keyof RecordFields): string => {
  const value = record[field];
  return value === null ? "" : typeof value === "object" ? value.join(", ") : String(value);
};

/** What of a record was changed in a form: only that goes to the service, so that two people do not undo each other. */
export function editOf(record: RecordFields, values: Readonly<Record<string, string>>): RecordEdit {
  const changed: Record<string, unknown> = {};
  for (const field of order) {
    const typed = values[field];
    if (typed === undefined || typed === line(record, field)) continue;
    if (field === "serials")
      changed.serials = typed
        .split(/[,;\n]/)
        .map((serial) => serial.trim())
        .filter((serial) => serial !== "");
    else if ((numbered as readonly string[]).includes(field)) {
      if (typed !== "") changed[field] = Number(typed);
    } else if ((texted as readonly string[]).includes(field)) changed[field] = typed;
  }
  return { ...changed, by: values.by ?? "", reason: values.reason === "" ? null : (values.reason ?? null) };
}

export function recordQuestion(
  run: number,
  record: RunRecord,
  texts: Texts,
  send: (edit: RecordEdit) => Promise<void>,
): Question {
  const words = texts.record;
  return {
    title: words.edit(run),
    detail: words.editDetail,
    fields: [
      ...order.map((field) => ({
        name: field,
        label: words.fields[field],
        kind:
          field === "remarks"
            ? ("lines" as const)
            : field === "load" || field === "recipe"
              ? ("number" as const)
              : ("text" as const),
        value: line(record, field),
        needed: null,
      })),
      byField(texts),
      { name: "reason", label: words.reason, kind: "text", value: "", needed: null },
    ],
    answer: words.answer,
    send: (values) => {
      keepPerson(values.by);
      return send(editOf(record, values));
    },
  };
}

function changes(record: RunRecord, texts: Texts): TemplateResult | typeof nothing {
  const words = texts.record;
  if (record.changes.length === 0) return nothing;
  return html`<details data-testid="record-changes"><summary>${words.changed(record.changes.length)}</summary><ol reversed>
    ${[...record.changes].reverse().map((change) => {
      const atMs = Date.parse(change.time);
      return html`<li>${when(atMs, `${write.day(atMs)}, ${write.clock(atMs)}`)} ${change.by}: ${change.changes
        .map((one) => words.change(words.fields[one.field] ?? one.field, one.from ?? "–", one.to ?? "–"))
        .join("; ")}${change.reason === null || change.reason === "" ? nothing : html` (${change.reason})`}</li>`;
    })}
  </ol></details>`;
}

/** What is said of a run: what was soldered, on what, by whom; with every change. */
export function recordBlock(
  paper: RunPaper,
  /** The recipe that the machine showed; null: it shows none. */
  machineRecipe: number | null,
  texts: Texts,
  edit: (record: RunRecord) => void,
  deletion: TemplateResult | typeof nothing,
): TemplateResult {
  const words = texts.record;
  const { record } = paper;
  const said = (one: RunRecord, field: keyof RecordFields): string =>
    field === "recipe" && one.recipe === null && machineRecipe !== null
      ? words.byMachine(machineRecipe)
      : line(one, field);
  const filled = record.kind === "here" ? order.filter((field) => said(record.value, field) !== "") : [];
  return html`<div class="notes record" data-testid="record"><h2>${words.heading}
      ${record.kind === "here" ? html`<button type="button" class="plain" data-testid="edit-record" @click=${() => edit(record.value)}>${words.button}</button>` : nothing}</h2>
    ${
      record.kind !== "here"
        ? html`<p class="second">${record.kind === "asking" ? words.asking : words.failed}</p>`
        : html`${filled.length === 0 ? html`<p class="second">${words.empty}</p>` : html`<dl>${filled.map((field) => html`<div><dt>${words.fields[field]}</dt><dd>${said(record.value, field)}</dd></div>`)}</dl>`}
          ${changes(record.value, texts)}`
    }
    ${deletion}</div>`;
}
