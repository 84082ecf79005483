/** Properties that an SVG needs to look outside the page as it looks in it. */
const drawnBy = [
  "fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "paint-order", "opacity",
  "font-family", "font-size", "font-weight", "font-variant-numeric", "text-anchor",
] as const; // biome-ignore format: a list is easier to scan in few lines

/** A copy of an SVG that carries its styles with it, as an address that an image can be made from. */
function standAlone(svg: SVGSVGElement, width: number, height: number): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const originals = svg.querySelectorAll("*");
  copy.querySelectorAll("*").forEach((element, i) => {
    const style = getComputedStyle(originals[i]);
    for (const property of drawnBy) element.setAttribute(property, style.getPropertyValue(property));
    element.removeAttribute("class");
  });
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.setAttribute("width", String(width));
  copy.setAttribute("height", String(height));
  return `data:image/svg+xml;charset=utf-8,${encodeURIComponent(new XMLSerializer().serializeToString(copy))}`;
}

async function imageOf(address: string): Promise<HTMLImageElement> {
  const image = new Image();
  image.src = address;
  await image.decode();
  return image;
}

/** Labels are elements above the picture: drawn again as text, with the swatch of their curve. */
function drawLabels(context: CanvasRenderingContext2D, sheet: HTMLElement): void {
  const origin = sheet.getBoundingClientRect();
  for (const label of sheet.querySelectorAll<HTMLElement>(".label")) {
    const box = label.getBoundingClientRect();
    const style = getComputedStyle(label);
    const middle = box.top - origin.top + box.height / 2;
    context.fillStyle = style.backgroundColor;
    context.fillRect(box.left - origin.left, box.top - origin.top, box.width, box.height);
    const swatch = label.querySelector("line");
    if (swatch !== null) {
      const line = getComputedStyle(swatch);
      const at = swatch.getBoundingClientRect();
      context.strokeStyle = line.stroke;
      context.lineWidth = Number.parseFloat(line.strokeWidth);
      context.setLineDash(
        line.strokeDasharray === "none" ? [] : (line.strokeDasharray.match(/[\d.]+/g) ?? []).map(Number),
      );
      context.beginPath();
      context.moveTo(at.left - origin.left, middle);
      context.lineTo(at.right - origin.left, middle);
      context.stroke();
      context.setLineDash([]);
    }
    context.fillStyle = style.color;
    context.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    context.textBaseline = "middle";
    for (const [part, side] of [
      [".name", "left"],
      [".value", "right"],
    ] as const) {
      const text = label.querySelector<HTMLElement>(part);
      if (text === null) continue;
      const at = text.getBoundingClientRect();
      context.textAlign = side;
      context.fillText(text.textContent ?? "", (side === "left" ? at.left : at.right) - origin.left, middle);
    }
  }
}

/** Height of the lines above the picture that say what it is, px. */
const headPx = 56;

/**
 * The sheet as it stands, as a PNG of twice its size: what is drawn, and above it in words what it is.
 * @param title first line; @param detail second line
 */
export async function pictureOf(sheet: HTMLElement, title: string, detail: string): Promise<Blob> {
  const { width, height } = sheet.getBoundingClientRect();
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(width * 2);
  canvas.height = Math.round((height + headPx) * 2);
  const context = canvas.getContext("2d");
  if (context === null) throw new Error("this browser draws no canvas");
  context.scale(2, 2);
  const style = getComputedStyle(document.documentElement);
  const token = (name: string): string => style.getPropertyValue(name).trim();
  context.fillStyle = token("--sheet");
  context.fillRect(0, 0, width, height + headPx);
  context.fillStyle = token("--ink");
  context.textBaseline = "middle";
  context.font = `600 18px ${token("--sans")}`;
  context.fillText(title, 16, 20);
  context.font = `400 14px ${token("--sans")}`;
  context.fillStyle = token("--ink-2");
  context.fillText(detail, 16, 42);
  context.translate(0, headPx);
  const origin = sheet.getBoundingClientRect();
  for (const curves of sheet.querySelectorAll("canvas")) {
    const box = curves.getBoundingClientRect();
    if (box.width > 0) context.drawImage(curves, box.left - origin.left, box.top - origin.top, box.width, box.height);
  }
  for (const svg of sheet.querySelectorAll<SVGSVGElement>(".frame-host > svg"))
    context.drawImage(await imageOf(standAlone(svg, width, height)), 0, 0, width, height);
  drawLabels(context, sheet);
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob === null ? reject(new Error("no picture came")) : resolve(blob)), "image/png");
  });
}

/** What stands above a picture, and how its file is called. */
export interface PictureHead {
  readonly title: string;
  readonly detail: string;
  readonly file: string;
  /** Said first where nothing of it was measured; null where it was. */
  readonly simulated: string | null;
}

/** Hands a picture to the person as a file. */
export async function savePicture(sheet: HTMLElement, head: PictureHead): Promise<void> {
  const detail = head.simulated === null ? head.detail : `${head.simulated} · ${head.detail}`;
  const address = URL.createObjectURL(await pictureOf(sheet, head.title, detail));
  const link = document.createElement("a");
  link.href = address;
  link.download = `${head.file}.png`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
