import {sampleAt} from '../bilinear.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import type {Placement} from '../register/pose.js';
import {NEW_LIGHT_TERMS, newLightBasis} from '../room/new-light.js';
import type {AddedLight} from './added-rows.js';
import type {Samples} from './samples.js';

/** New room light on the wall: its level (linear) by channel, typical of the wall. */
export type WallTint = readonly [number, number, number];

/** Relative reflectance over the plates, 1 on average. */
export type Reflectance = {plane: Float32Array; width: number; height: number};

const CHANNELS: readonly WallTint[] = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** How many times as much as the wall a face may reflect. */
const OVER_WALL = 3;

const tintOf = (wall: WallTint): WallTint => {
  const most = Math.max(...wall, 1e-9);
  const part = (value: number): number => Math.max(0.1, value / most);
  return [part(wall[0]), part(wall[1]), part(wall[2])];
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
  const shapes = Array.from({length: NEW_LIGHT_TERMS}, () => new Float64Array(samples.count));
  const row = new Float64Array(NEW_LIGHT_TERMS);
  for (let i = from; i < samples.count; i++) {
    newLightBasis(samples.xs[i]! / width, samples.ys[i]! / height, row);
    shapes.forEach((shape, n) => {
      shape[i] = row[n]! * reflectance[i - from]!;
    });
  }
  // Nothing is known of how bright the room may have become.
  return shapes.map(shape => ({shape, tint, sigma: 1}));
};

/**
 * Shapes that it may have on the head. What the head reflects is known from the plates by its detail; from which side the
 * light comes is not, so that there is one even shape for each channel and one from each side.
 * @param until how many samples, the first, are on the sitter
 */
export const addedOnHead = (
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
  const even = new Float64Array(count);
  const sides = Array.from({length: 4}, () => new Float64Array(count));
  for (let i = 0; i < until; i++) {
    const x = xs[i]!;
    const y = ys[i]!;
    const px = placement.ax * x + placement.bx * y + placement.cx;
    const py = placement.ay * x + placement.by * y + placement.cy;
    const reflected = sampleAt(plane, width, height, px, py);
    const across = Math.max(-1, Math.min(1, (x - face.cx) / face.rx));
    const down = Math.max(-1, Math.min(1, (y - face.cy) / face.ry));
    const facing = [(1 - across) / 2, (1 + across) / 2, (1 - down) / 2, (1 + down) / 2];
    even[i] = reflected;
    for (let side = 0; side < 4; side++) sides[side]![i] = reflected * facing[side]! ** 2;
  }
  // A face reflects about as much as a light wall, and several times as much as a dark one; what comes from one side may be
  // as strong again.
  return [
    ...CHANNELS.map((own, c) => ({shape: even, tint: own, sigma: OVER_WALL * Math.max(0.1 * most, wall[c]!)})),
    ...sides.map(shape => ({shape, tint, sigma: OVER_WALL * most})),
  ];
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
  ...(isBright ? addedOnHead(samples, sitter, face, reflectance, placement, wall) : []),
];
