import type {PixelEllipse} from '../pixel-ellipse.js';
import {NEW_LIGHT_TERMS, newLightBasis} from '../room/new-light.js';
import type {AddedLight} from './added-rows.js';
import type {Samples} from './samples.js';

/** New room light: its level (linear) by channel, typical of what it lies on. */
export type Tint = readonly [number, number, number];

const CHANNELS: readonly Tint[] = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** How many times as much of it there may be on the sitter as the dark plate tells: it comes from elsewhere. */
const MORE = 3;

const inParts = (level: Tint): Tint => {
  const most = Math.max(...level, 1e-9);
  const part = (value: number): number => Math.max(0.1, value / most);
  return [part(level[0]), part(level[1]), part(level[2])];
};

/** Shapes that new room light may have on the wall: even, and from each side, slowly or fast. */
const onWall = (samples: Samples, from: number, width: number, height: number, wall: Tint): AddedLight[] => {
  const tint = inParts(wall);
  const shapes = Array.from({length: NEW_LIGHT_TERMS}, () => new Float64Array(samples.count));
  const row = new Float64Array(NEW_LIGHT_TERMS);
  for (let i = from; i < samples.count; i++) {
    newLightBasis(samples.xs[i]! / width, samples.ys[i]! / height, row);
    shapes.forEach((shape, n) => {
      shape[i] = row[n]!;
    });
  }
  // Nothing is known of how bright the room may have become.
  return shapes.map(shape => ({shape, tint, sigma: 1}));
};

/**
 * Shapes that it may have on the sitter. From which side the light comes is not known, so that there is one even shape for
 * each channel and one from each side.
 * @param until how many samples, the first, are on the sitter
 * @param sitter how bright the new light may be there by what it is on the wall
 */
export const addedOnSitter = (
  {count, xs, ys}: Samples,
  until: number,
  face: PixelEllipse,
  sitter: Tint,
): AddedLight[] => {
  const even = new Float64Array(count).fill(1, 0, until);
  const sides = Array.from({length: 4}, () => new Float64Array(count));
  for (let i = 0; i < until; i++) {
    const across = Math.max(-1, Math.min(1, (xs[i]! - face.cx) / face.rx));
    const down = Math.max(-1, Math.min(1, (ys[i]! - face.cy) / face.ry));
    const facing = [(1 - across) / 2, (1 + across) / 2, (1 - down) / 2, (1 + down) / 2];
    for (let side = 0; side < 4; side++) sides[side]![i] = facing[side]! ** 2;
  }
  const tint = inParts(sitter);
  const most = Math.max(...sitter);
  return [
    ...CHANNELS.map((own, c) => ({shape: even, tint: own, sigma: MORE * Math.max(0.1 * most, sitter[c]!)})),
    ...sides.map(shape => ({shape, tint, sigma: MORE * most})),
  ];
};

/** New room light by channel, on the wall and as it may be on the sitter; there it is bright enough to count, or null. */
export type NewTints = {wall: Tint; sitter: Tint | null};

/**
 * Everything that new room light may have added to a frame.
 * @param samples those on the sitter first, then the wall's
 * @param until how many are on the sitter
 * @param width and height: of the frame, in pixels
 */
export const addedLight = (
  samples: Samples,
  until: number,
  face: PixelEllipse,
  width: number,
  height: number,
  {wall, sitter}: NewTints,
): AddedLight[] => [
  ...onWall(samples, until, width, height, wall),
  ...(sitter ? addedOnSitter(samples, until, face, sitter) : []),
];
