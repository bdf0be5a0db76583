/** Regions of touching pixels. */
export type Components = {
  /** 0 where there is none, else the component's number from 1 on. */
  labels: Int32Array;
  /** Pixels of each component; index 0 stands for component 1. */
  areas: number[];
};

/**
 * Labels connected components by flooding.
 * @param mask pixels that count, row by row
 * @param neighbours 4 (edges) or 8 (corners too)
 */
export const connectedComponents = (mask: Uint8Array, width: number, height: number, neighbours: 4 | 8): Components => {
  const labels = new Int32Array(mask.length);
  const areas: number[] = [];
  const stack = new Int32Array(mask.length);
  for (let seed = 0; seed < mask.length; seed++) {
    if (!mask[seed] || labels[seed]) continue;
    const label = areas.length + 1;
    let area = 0;
    let top = 0;
    stack[top++] = seed;
    labels[seed] = label;
    const visit = (at: number): void => {
      if (!mask[at] || labels[at]) return;
      labels[at] = label;
      stack[top++] = at;
    };
    while (top > 0) {
      const at = stack[--top]!;
      area++;
      const x = at % width;
      const y = (at - x) / width;
      const left = x > 0;
      const right = x < width - 1;
      const above = y > 0;
      const below = y < height - 1;
      if (left) visit(at - 1);
      if (right) visit(at + 1);
      if (above) visit(at - width);
      if (below) visit(at + width);
      if (neighbours === 4) continue;
      if (above && left) visit(at - width - 1);
      if (above && right) visit(at - width + 1);
      if (below && left) visit(at + width - 1);
      if (below && right) visit(at + width + 1);
    }
    areas.push(area);
  }
  return {labels, areas};
};
