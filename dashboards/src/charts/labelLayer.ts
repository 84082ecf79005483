/** A label at the end of a curve. */
export interface CurveLabel {
  readonly id: string;
  readonly name: string;
  readonly value: string;
  /** What must be known of the value; empty: nothing. */
  readonly title: string;
  /** CSS class that gives the swatch the stroke of its curve. */
  readonly ink: string;
  readonly strong: boolean;
  readonly old: boolean;
  /** An alarm names this channel. */
  readonly alarmed: boolean;
  readonly chosen: boolean;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  /** Height of its row, px. */
  readonly height: number;
  /** End of its curve, px; null: no hairline. */
  readonly from: { readonly x: number; readonly y: number } | null;
  /** Whether the label stands left of its curve's end. */
  readonly leftward: boolean;
}

/**
 * Labels live as long as their channel; only what changed is written. A press on one isolates its channel, as the
 * arrow keys do; rows are lower than a button may be, so they are none, and the table of readings stands for them
 * where they cannot be seen.
 */
export interface LabelLayer {
  update(labels: readonly CurveLabel[]): void;
}

interface LabelParts {
  readonly root: HTMLElement;
  readonly name: HTMLElement;
  readonly value: HTMLElement;
  readonly leader: SVGPathElement;
}

const svgNamespace = "http://www.w3.org/2000/svg";

function make(id: string): LabelParts {
  const root = document.createElement("div");
  root.dataset.testid = `label-${id}`;
  root.dataset.channel = id;
  const swatch = document.createElementNS(svgNamespace, "svg");
  swatch.setAttribute("width", "22");
  swatch.setAttribute("height", "8");
  swatch.setAttribute("aria-hidden", "true");
  const line = document.createElementNS(svgNamespace, "line");
  for (const [key, value] of Object.entries({ x1: "0", x2: "22", y1: "4", y2: "4", class: "swatch" }))
    line.setAttribute(key, value);
  swatch.append(line);
  const name = document.createElement("span");
  name.className = "name";
  const value = document.createElement("span");
  value.className = "value";
  value.dataset.testid = `value-${id}`;
  root.append(swatch, name, value);
  return { root, name, value, leader: document.createElementNS(svgNamespace, "path") };
}

const write = (node: HTMLElement, text: string): void => {
  if (node.textContent !== text) node.textContent = text;
};

export function createLabelLayer(host: HTMLElement, leaders: SVGElement, chosen: (id: string) => void): LabelLayer {
  const parts = new Map<string, LabelParts>();
  host.addEventListener("click", (event) => {
    const id = (event.target as Element).closest<HTMLElement>("[data-channel]")?.dataset.channel;
    if (id !== undefined) chosen(id);
  });
  return {
    update(labels) {
      const present = new Set(labels.map((label) => label.id));
      for (const [id, part] of parts) {
        if (present.has(id)) continue;
        part.root.remove();
        part.leader.remove();
        parts.delete(id);
      }
      for (const label of labels) {
        let part = parts.get(label.id);
        if (part === undefined) {
          part = make(label.id);
          parts.set(label.id, part);
          host.append(part.root);
          leaders.append(part.leader);
        }
        write(part.name, label.name);
        write(part.value, label.value);
        if (part.value.title !== label.title) part.value.title = label.title;
        part.root.className = `label ${label.ink}${label.strong ? " strong" : ""}${label.old ? " old" : ""}${label.alarmed ? " alarmed" : ""}`;
        part.root.dataset.chosen = String(label.chosen);
        part.root.style.width = `${label.width}px`;
        part.root.style.height = `${label.height}px`;
        part.root.style.top = `${-label.height / 2}px`;
        part.root.style.transform = `translate(${Math.round(label.left)}px, ${Math.round(label.top)}px)`;
        const { from } = label;
        const toX = label.leftward ? label.left + label.width + 2 : label.left - 2;
        part.leader.setAttribute("d", from === null ? "" : `M${from.x} ${from.y}L${toX} ${label.top}`);
      }
    },
  };
}
