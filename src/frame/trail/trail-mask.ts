import {REGION, type RegionMap} from '../regions.js';
import {connectedComponents} from './components.js';
import {type Candidates, TRAIL_LIGHT} from './own-light.js';

/** What a group of candidate pixels looks like. */
type Shape = {
  area: number;
  begins: number;
  onWall: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  /** Sum of how fast its light rises within a pixel, over its light. */
  sharpness: number;
};

/** How far apart dashes of one trail may lie, how long a trail is at least, and the least of its pixels: of the longer edge. */
const GAP = 0.012;
const LEAST_LENGTH = 0.03;
const LEAST_AREA = 10;
/** A trail's light changes at least so much from one pixel to the next, as a part of itself, in the middle over its pixels. */
const LEAST_SHARPNESS = 0.035;

const dilated = (mask: Uint8Array, width: number, height: number, radius: number): Uint8Array => {
  const across = new Uint8Array(mask.length);
  const out = new Uint8Array(mask.length);
  for (let y = 0; y < height; y++) {
    let until = -1;
    for (let x = 0; x < Math.min(radius, width); x++) if (mask[y * width + x]) until = x + radius;
    for (let x = 0; x < width; x++) {
      const ahead = x + radius;
      if (ahead < width && mask[y * width + ahead]) until = ahead + radius;
      if (x <= until) across[y * width + x] = 1;
    }
  }
  const untilRow = new Int32Array(width).fill(-1);
  for (let y = 0; y < Math.min(radius, height); y++) {
    for (let x = 0; x < width; x++) if (across[y * width + x]) untilRow[x] = y + radius;
  }
  for (let y = 0; y < height; y++) {
    const ahead = y + radius;
    for (let x = 0; x < width; x++) {
      if (ahead < height && across[ahead * width + x]) untilRow[x] = ahead + radius;
      if (y <= untilRow[x]!) out[y * width + x] = 1;
    }
  }
  return out;
};

/** The trail's pixels: candidates in narrow groups that are long enough and begin beyond doubt. */
export const trailMask = ({mask, own}: Candidates, regions: RegionMap, width: number, height: number): Uint8Array => {
  const edge = Math.max(width, height);
  const {labels, areas} = connectedComponents(mask, width, height, 8);
  const shapes: Shape[] = areas.map(area => ({
    area,
    begins: 0,
    onWall: 0,
    left: width,
    right: 0,
    top: height,
    bottom: 0,
    sharpness: 0,
  }));
  for (let at = 0; at < mask.length; at++) {
    const label = labels[at]!;
    if (label === 0) continue;
    const shape = shapes[label - 1]!;
    const x = at % width;
    const y = (at - x) / width;
    if (mask[at] === 2) shape.begins++;
    if (regions[at] === REGION.wall) shape.onWall++;
    if (x < shape.left) shape.left = x;
    if (x > shape.right) shape.right = x;
    if (y < shape.top) shape.top = y;
    if (y > shape.bottom) shape.bottom = y;
    const gx = own[at + (x < width - 1 ? 1 : 0)]! - own[at - (x > 0 ? 1 : 0)]!;
    const gy = own[at + (y < height - 1 ? width : 0)]! - own[at - (y > 0 ? width : 0)]!;
    shape.sharpness += (0.5 * Math.hypot(gx, gy)) / own[at]!;
  }
  const length = (shape: Shape): number => Math.max(shape.right - shape.left, shape.bottom - shape.top) + 1;
  const possible = shapes.map(
    shape =>
      shape.begins >= 0.15 * shape.area && shape.area >= LEAST_AREA && shape.sharpness / shape.area > LEAST_SHARPNESS,
  );
  // Dashes that lie close are one line: lengths are those of the groups.
  const kept = Uint8Array.from(labels, label => (label > 0 && possible[label - 1] ? 1 : 0));
  const groups = connectedComponents(
    dilated(kept, width, height, Math.max(1, Math.round((GAP * edge) / 2))),
    width,
    height,
    8,
  );
  const groupShapes = groups.areas.map(() => ({
    left: width,
    right: 0,
    top: height,
    bottom: 0,
    area: 0,
    wall: 0,
  }));
  for (let at = 0; at < kept.length; at++) {
    if (!kept[at]) continue;
    const group = groupShapes[groups.labels[at]! - 1]!;
    const x = at % width;
    const y = (at - x) / width;
    group.area++;
    if (regions[at] === REGION.wall || regions[at] === REGION.near) group.wall++;
    if (x < group.left) group.left = x;
    if (x > group.right) group.right = x;
    if (y < group.top) group.top = y;
    if (y > group.bottom) group.bottom = y;
  }
  const accepted = groupShapes.map(group => {
    const long = Math.max(group.right - group.left, group.bottom - group.top) + 1;
    return long >= LEAST_LENGTH * edge && (group.wall > 0 || long >= 3 * LEAST_LENGTH * edge);
  });
  void length;
  return kept.map((value, at) => (value && accepted[groups.labels[at]! - 1] && own[at]! > TRAIL_LIGHT ? 1 : 0));
};
