/** What somebody wrote at a moment of a run. It stands as a line of the run's remarks, so its history is theirs. */
export interface Annotation {
  /** Seconds from the run's start. */
  readonly at_s: number;
  readonly text: string;
}

const line = /^@(?:(\d+):)?(\d+):(\d\d(?:\.\d)?) (.+)$/;

/** The annotations in a run's remarks, in the order of the run. */
export function annotationsOf(remarks: string | null): readonly Annotation[] {
  return (remarks ?? "")
    .split("\n")
    .flatMap((text) => {
      const found = line.exec(text);
      if (found === null) return [];
      const [, hours, minutes, seconds, words] = found;
      return [{ at_s: Number(hours ?? 0) * 3600 + Number(minutes) * 60 + Number(seconds), text: words }];
    })
    .sort((a, b) => a.at_s - b.at_s);
}

/** Remarks with one more annotation. */
export function withAnnotation(remarks: string | null, { at_s, text }: Annotation): string {
  const tenths = Math.round(at_s * 10);
  const [minutes, seconds] = [Math.floor(tenths / 600), (tenths % 600) / 10];
  const one = `@${minutes}:${seconds.toFixed(1).padStart(4, "0")} ${text.replace(/\s+/g, " ").trim()}`;
  return remarks === null || remarks === "" ? one : `${remarks}\n${one}`;
}
