import {integers} from '../scratch.js';

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
 * @param seeds where to look for components, in rising order, if not everywhere
 * @param neighbours 4 (edges) or 8 (corners too)
 */
export const connectedComponents = (
  mask: Uint8Array,
  width: number,
  neighbours: 4 | 8,
  seeds?: Int32Array,
): Components => {
  const labels = integers(mask.length);
  const areas: number[] = [];
  // Where to look from a pixel: first along its row, then above and below; corners only among eight neighbours.
  const reach = neighbours === 8 ? 1 : 0;
  let stack = new Int32Array(1024);
  const count = seeds?.length ?? mask.length;
  for (let n = 0; n < count; n++) {
    const seed = seeds ? seeds[n]! : n;
    if (mask[seed] === 0 || labels[seed] !== 0) continue;
    const label = areas.length + 1;
    let area = 0;
    let top = 0;
    stack[top++] = seed;
    labels[seed] = label;
    while (top > 0) {
      const at = stack[--top]!;
      area++;
      if (top + 8 > stack.length) {
        const larger = new Int32Array(2 * stack.length);
        larger.set(stack);
        stack = larger;
      }
      const x = at % width;
      for (let row = -1; row <= 1; row++) {
        const middle = at + row * width;
        if (middle < 0 || middle >= mask.length) continue;
        const across = row === 0 ? 1 : reach;
        const last = Math.min(width - 1 - x, across);
        for (let column = -Math.min(x, across); column <= last; column++) {
          const next = middle + column;
          if (mask[next] === 0 || labels[next] !== 0) continue;
          labels[next] = label;
          stack[top++] = next;
        }
      }
    }
    areas.push(area);
  }
  return {labels, areas};
};
