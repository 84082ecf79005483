import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { type Prompt, prompt } from "./promptTypes";

/** How recording stands and for how long there is room, as `/api/v1/record` answers. */
export interface RecordRoom {
  readonly state: "recording" | "waiting" | "losing";
  /** What the disk said; empty while recording. */
  readonly reason: string;
  readonly waitingEntries: number;
  readonly notRecorded: number;
  /** Null while the disk cannot be asked. */
  readonly freeBytes: number | null;
  /** If the record goes on growing as lately; null while nobody can tell. */
  readonly daysLeft: number | null;
  readonly roomIsLow: boolean;
}

function span(days: number, texts: Texts): string {
  const words = texts.room;
  return days < 1 ? words.hours(Math.max(1, Math.floor(days * 24))) : words.days(Math.floor(days));
}

function size(bytes: number): string {
  const [value, unit] = bytes < 1e9 ? [bytes / 1e6, "MB"] : [bytes / 1e9, "GB"];
  return `${write.fixed(value, value < 10 ? 1 : 0)}${write.nbsp}${unit}`;
}

/** What the disk asks of somebody; null while there is room. A disk that refuses has an alarm of its own. */
export function roomPrompt(room: RecordRoom | null, texts: Texts): Prompt | null {
  if (room === null || !room.roomIsLow) return null;
  const words = texts.room;
  const { daysLeft, freeBytes } = room;
  const detail = [
    freeBytes === null ? null : words.free(size(freeBytes)),
    words.remedy,
    room.waitingEntries > 0 ? words.waiting(room.waitingEntries) : null,
    room.notRecorded > 0 ? words.lost(room.notRecorded) : null,
  ];
  return prompt(
    "record/room",
    "soon",
    daysLeft === null ? words.lowUnknown : words.low(span(daysLeft, texts)),
    detail.filter((part) => part !== null).join(" "),
  );
}
