import { personHere } from "../state/person";
import type { Texts } from "../texts/en";
import type { AskedField } from "./askDialog";

/** Who does it: asked with every step that goes into the record. */
export const byField = (texts: Texts): AskedField => ({
  name: "by",
  label: texts.ask.by,
  kind: "text",
  value: personHere(),
  needed: texts.ask.byNeeded,
});
