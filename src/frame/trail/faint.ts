import {REGION, type RegionMap} from '../regions.js';
import {bytes} from '../scratch.js';
import {connectedComponents} from './components.js';
import {squaresAround} from './dilate.js';
import type {Candidates} from './own-light.js';
import {TRAIL_LIGHT} from './where-to-look.js';

/**
 * Candidates less the faint ones, under the least that a trail is without headroom, in sets that lie on the sitter alone:
 * there misfit is as bright. A line that comes onto the sitter from beside shows there too.
 */
export const withoutFaint = (candidates: Candidates, regions: RegionMap, width: number, height: number): Candidates => {
  const {pixels, own, mask} = candidates;
  if (!pixels.some(at => own[at]! <= TRAIL_LIGHT)) return candidates;
  const {labels, areas} = connectedComponents(squaresAround(pixels, width, height), width, 4, pixels);
  const isBeside = new Uint8Array(areas.length + 1);
  for (const at of pixels) if (regions[at] === REGION.wall || regions[at] === REGION.near) isBeside[labels[at]!] = 1;
  const kept = pixels.filter(at => own[at]! > TRAIL_LIGHT || isBeside[labels[at]!] === 1);
  const left = bytes(mask.length);
  for (const at of kept) left[at] = mask[at]!;
  return {...candidates, pixels: kept, mask: left};
};
