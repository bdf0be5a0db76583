import {sampleAt} from '../bilinear.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import type {Placement} from '../register/pose.js';
import {NEW_LIGHT_TERMS, newLightBasis} from '../room/new-light.js';
import type {AddedLight} from './light-model.js';
import type {Samples} from './samples.js';

/** New room light on the wall: its level (linear) by channel, typical of the wall. */
export type WallTint = readonly [number, number, number];

/** Relative reflectance over the plates, 1 on average. */
export type Reflectance = {plane: Float32Array; width: number; height: number};

/** How many times as much as the wall a face may reflect. */
const OVER_WALL = 3;

const tintOf = (wall: WallTint): number[] => {
  const most = Math.max(...wall, 1e-9);
  return wall.map(value => Math.max(0.1, value / most));
};

/** Shapes that new room light may have on the wall: even, and from each side, slowly or fast. */
const onWall = (
  samples: Samples,
  from: number,
  reflectance: Float64Array,
  {width, height}: Reflectance,
  wall: WallTint,
): AddedLight[] => {
  const tint = tintOf(wall);
  const shapes = Array.from({length: NEW_LIGHT_TERMS}, () => new Float64Array(3 * samples.count));
  const row = new Float64Array(NEW_LIGHT_TERMS);
  for (let i = from; i < samples.count; i++) {
    newLightBasis(samples.xs[i]! / width, samples.ys[i]! / height, row);
    for (let c = 0; c < 3; c++) {
      shapes.forEach((shape, n) => {
        shape[c * samples.count + i] = row[n]! * tint[c]! * reflectance[i - from]!;
      });
    }
  }
  // Nothing is known of how bright the room may have become.
  return shapes.map(shape => ({shape, sigma: 1}));
};

/**
 * Shapes that it may have on the head. What the head reflects is known from the plates by its detail; from which side the
 * light comes is not, so that there is one even shape for each channel and one from each side.
 */
const onHead = (
  samples: Samples,
  until: number,
  face: PixelEllipse,
  {plane, width, height}: Reflectance,
  placement: Placement,
  wall: WallTint,
): AddedLight[] => {
  const {count, xs, ys} = samples;
  const tint = tintOf(wall);
  const most = Math.max(...wall, 1e-9);
  const shapes = Array.from({length: 7}, () => new Float64Array(3 * count));
  for (let i = 0; i < until; i++) {
    const x = xs[i]!;
    const y = ys[i]!;
    const px = placement.ax * x + placement.bx * y + placement.cx;
    const py = placement.ay * x + placement.by * y + placement.cy;
    const reflected = sampleAt(plane, width, height, px, py);
    const across = Math.max(-1, Math.min(1, (x - face.cx) / face.rx));
    const down = Math.max(-1, Math.min(1, (y - face.cy) / face.ry));
    const facing = [(1 - across) / 2, (1 + across) / 2, (1 - down) / 2, (1 + down) / 2];
    for (let c = 0; c < 3; c++) {
      const at = c * count + i;
      shapes[c]![at] = reflected;
      for (let side = 0; side < 4; side++) shapes[3 + side]![at] = reflected * facing[side]! ** 2 * tint[c]!;
    }
  }
  // A face reflects about as much as a light wall, and several times as much as a dark one; what comes from one side may be
  // as strong again.
  return shapes.map((shape, n) => ({shape, sigma: OVER_WALL * (n < 3 ? Math.max(0.1 * most, wall[n]!) : most)}));
};

/**
 * Everything that new room light may have added to a frame.
 * @param samples those on the sitter first, then the wall's
 * @param sitter how many are on the sitter
 * @param wallReflectance relative reflectance of each of the wall's samples
 * @param isBright whether it is bright enough to count on the head
 */
export const addedLight = (
  samples: Samples,
  sitter: number,
  face: PixelEllipse,
  reflectance: Reflectance,
  wallReflectance: Float64Array,
  placement: Placement,
  wall: WallTint,
  isBright: boolean,
): AddedLight[] => [
  ...onWall(samples, sitter, wallReflectance, reflectance, wall),
  ...(isBright ? onHead(samples, sitter, face, reflectance, placement, wall) : []),
];
