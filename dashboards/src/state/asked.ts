import { Refusal } from "../feed/records";

/** Something that was asked of the service. */
export type Asked<T> =
  | { readonly kind: "asking"; readonly sinceMs: number }
  | { readonly kind: "here"; readonly value: T }
  /** `words`: the service's own; null when it did not answer at all. */
  | { readonly kind: "failed"; readonly words: string | null };

export const failed = (error: unknown): { readonly kind: "failed"; readonly words: string | null } => ({
  kind: "failed",
  words: error instanceof Refusal ? error.message : null,
});

export const isAbort = (error: unknown): boolean => error instanceof DOMException && error.name === "AbortError";
