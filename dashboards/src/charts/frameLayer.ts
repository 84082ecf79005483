import { nothing, type SVGTemplateResult, svg } from "lit-html";
import { axesLayer, limitsLayer } from "./axesLayer";
import { cursorBox } from "./cursorBox";
import { type FrameInput, letterPx } from "./frameTypes";
import { xOf, yOf, yOfPressure } from "./geometry";
import { gateAt, lensFrame } from "./lensLayer";
import { ribbon } from "./ribbonLayer";

/** A torn edge: what is beyond it the page does not know. */
function torn(input: FrameInput, at_s: number): SVGTemplateResult {
  const { geometry: g, axis } = input;
  const x = xOf(g.plot, axis, at_s);
  let path = `M${x} 0`;
  for (let y = 0, side = 1; y < g.height; y += 12, side = -side)
    path += `L${x + (side > 0 ? 6 : -5)} ${Math.min(y + 12, g.height)}`;
  return svg`<g data-testid="torn">
    <path class="beyond" d=${`${path}L${g.width} ${g.height}L${g.width} 0Z`}></path>
    <path class="tear" d=${path}></path>
  </g>`;
}

function dragLayer(input: FrameInput): SVGTemplateResult | typeof nothing {
  const { geometry: g, axis, dragged } = input;
  if (dragged === null) return nothing;
  const from = xOf(g.plot, axis, Math.min(...dragged));
  const to = xOf(g.plot, axis, Math.max(...dragged));
  return svg`<rect class="dragged" x=${from} y=${g.plot.top} width=${to - from} height=${g.floor - g.plot.top}></rect>`;
}

function cursorLayer(input: FrameInput): SVGTemplateResult | typeof nothing {
  const { geometry: g, axis, cursor, temperatures } = input;
  if (cursor === null) return nothing;
  const x = Math.round(xOf(g.plot, axis, cursor.at_s));
  const mark = cursor.mark_s === null ? null : Math.round(xOf(g.plot, axis, cursor.mark_s));
  return svg`<g class="cursor" data-testid="cursor">
    ${mark === null ? nothing : svg`<line class="mark-line" x1=${mark} x2=${mark} y1=${g.plot.top} y2=${g.floor}></line>`}
    ${
      mark === null || cursor.ends === null
        ? nothing
        : svg`<line class="slope" x1=${mark} y1=${yOf(g.plot, temperatures, cursor.ends[0])} x2=${x} y2=${yOf(g.plot, temperatures, cursor.ends[1])}></line>
      ${[mark, x].map((at, i) => svg`<circle class="ring" cx=${at} cy=${yOf(g.plot, temperatures, cursor.ends?.[i] ?? 0)} r="5"></circle>`)}`
    }
    <line class="cursor-line" x1=${x} x2=${x} y1="22" y2=${g.floor}></line>
    ${cursorBox(cursor.words, x, mark !== null, g, input.place)}
  </g>`;
}

/** Everything on the sheet that is not a curve: axes, lines, ribbons, gate, lens, hatches, now. */
export function frameLayer(input: FrameInput): SVGTemplateResult {
  const { geometry: g, axis, temperatures, texts } = input;
  const nowX = Math.round(xOf(g.plot, axis, input.now.at_s));
  const far = input.place === "wall";
  const boxWidth = Math.round(input.now.text.length * letterPx(input.place) * 1.12 + 22);
  const boxHeight = far ? 42 : 24;
  const boxLeft = nowX - boxWidth < g.plot.left ? 0 : -boxWidth; // the axis and its unit stay readable at a run's start
  return svg`
    <defs><pattern id="hatch" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch-line" x1="0" y1="0" x2="0" y2="8"></line></pattern></defs>
    <clipPath id="strips"><rect x=${g.plot.left} y="0" width=${g.plot.width} height=${g.height}></rect></clipPath>
    ${axesLayer(input)}
    <g clip-path="url(#strips)">${limitsLayer(input)}</g>
    ${input.lens === null && input.gate !== null ? gateAt(input.gate, yOf(g.plot, temperatures, input.gate.level), (t) => xOf(g.plot, axis, t), g.plot.left, g.plot.left + g.plot.width, null) : nothing}
    ${g.ribbons === null || !input.learning ? nothing : svg`<text class="second" x=${g.plot.left} y=${g.ribbons.thermal + 17}>${texts.chart.learning}</text>`}
    ${g.ribbons === null || input.learning ? nothing : ribbon(input, input.thermal, g.ribbons.thermal, input.beside === null || input.carrier === null ? texts.chart.heat : texts.chart.heatOf(input.carrier))}
    ${g.ribbons?.beside == null || input.beside === null ? nothing : ribbon(input, input.beside.pieces, g.ribbons.beside, texts.chart.heatOf(input.beside.carrier))}
    ${g.ribbons === null || !input.hasVacuum || input.learning ? nothing : ribbon(input, input.vacuum, g.ribbons.vacuum, texts.chart.vacuum)}
    <g clip-path="url(#strips)">${input.hatches.map((piece) => {
      const from = xOf(g.plot, axis, piece.from_s);
      const width = Math.max(2, xOf(g.plot, axis, piece.to_s) - from);
      return svg`<g data-testid="hatch">${piece.words === null ? nothing : svg`<title>${piece.words}</title>`}<rect fill="url(#hatch)" x=${from} y=${piece.top} width=${width} height=${piece.bottom - piece.top}></rect>
        ${piece.ring === null ? nothing : svg`<circle class="ring" cx=${from} cy=${piece.ring} r="5"></circle>`}</g>`;
    })}</g>
    <g clip-path="url(#strips)">${input.spikes.map((spike) => {
      const x = xOf(g.plot, axis, spike.at_s);
      const y =
        spike.isPressure && g.pressure !== null
          ? yOfPressure(g.pressure, input.pressures, spike.value)
          : yOf(g.plot, temperatures, spike.value);
      return svg`<g data-testid="spike"><title>${texts.chart.spike(spike.name)}</title>
        <path class="spike" d=${`M${x - 5} ${y - 5}L${x + 5} ${y + 5}M${x - 5} ${y + 5}L${x + 5} ${y - 5}`}></path></g>`;
    })}</g>
    ${input.lens === null ? nothing : lensFrame(input, input.lens)}
    ${input.now.kind === "torn" ? torn(input, input.now.at_s) : nothing}
    ${dragLayer(input)}
    ${input.annotations.map(({ at_s, text }, i) => {
      const x = Math.round(xOf(g.plot, axis, at_s));
      return svg`<g class="annotation" data-testid="annotation"><title>${text}</title>
        <line class="annotation-line" x1=${x} x2=${x} y1=${g.plot.top} y2=${g.plot.top + g.plot.height}></line>
        <rect class="annotation-box" x=${x - 9} y=${g.plot.top} width="18" height="18"></rect>
        <text x=${x} y=${g.plot.top + 14} text-anchor="middle">${i + 1}</text></g>`;
    })}
    ${
      input.now.at_s < axis.min || input.now.at_s > axis.max
        ? nothing
        : svg`<g class=${`now ${input.now.kind}`} transform=${`translate(${nowX} 0)`} data-testid="now-line">
      ${input.now.kind === "torn" ? nothing : svg`<line class="now-line" y1="0" y2=${g.floor}></line>`}
      ${
        input.place === "phone"
          ? nothing
          : svg`<rect class="now-box" x=${boxLeft} y="0" width=${boxWidth} height=${boxHeight}></rect>
        <text class="now-text" x=${boxLeft + boxWidth / 2} y=${far ? 31 : 17} text-anchor="middle" data-testid="now">${input.now.text}</text>`
      }
    </g>`
    }
    ${cursorLayer(input)}`;
}
