/**
 * Heights for labels that want to stand at given heights but must keep a distance: the shift with the least sum of
 * squares that keeps their order (isotonic regression by pooling adjacent violators).
 *
 * @param wanted heights in px, in any order
 * @param gap least distance between two labels in px
 * @param top least height allowed
 * @param bottom greatest height allowed; when the labels do not fit between, they start at `top`
 * @returns heights in the order of `wanted`
 */
export function spreadLabels(wanted: readonly number[], gap: number, top: number, bottom: number): number[] {
  const order = wanted.map((_, index) => index).sort((a, b) => wanted[a] - wanted[b] || a - b);
  // Take the gaps out (label k stands k gaps lower anyway), pool what would overlap, put them back.
  const blocks: { sum: number; count: number }[] = [];
  order.forEach((index, rank) => {
    let block = { sum: wanted[index] - rank * gap, count: 1 };
    for (
      let last = blocks.at(-1);
      last !== undefined && last.sum / last.count > block.sum / block.count;
      last = blocks.at(-1)
    ) {
      blocks.pop();
      block = { sum: last.sum + block.sum, count: last.count + block.count };
    }
    blocks.push(block);
  });
  const greatest = Math.max(top, bottom - (wanted.length - 1) * gap);
  const heights = new Array<number>(wanted.length);
  let rank = 0;
  for (const block of blocks) {
    const base = Math.min(Math.max(block.sum / block.count, top), greatest);
    for (let i = 0; i < block.count; i++, rank++) heights[order[rank]] = base + rank * gap;
  }
  return heights;
}
