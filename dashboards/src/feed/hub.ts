import type { CellChange, LiveHub, ReadingMark, ScanFrame } from "./contract";

/** What the server calls on a viewer. `closed` comes once, when the connection has ended for whatever reason. */
export interface HubEvents {
  scan(frame: ScanFrame): void;
  /** A reading that came before is worth less than its frame said. */
  mark(mark: ReadingMark): void;
  change(change: CellChange): void;
  /** This viewer was too slow: of the frames after `seq` some were left out. */
  missed(cell: number, seq: number): void;
  closed(): void;
}

/** A connection that stands. */
export interface OpenHub extends LiveHub {
  close(): void;
}

/** Opens a connection; rejects when the service cannot be reached. The application takes this from outside, so that a test can play the service. */
export type OpenHubFunction = (events: HubEvents) => Promise<OpenHub>;
