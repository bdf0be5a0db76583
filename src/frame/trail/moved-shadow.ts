import type {PixelLight} from '../pixel-light.js';
import type {Shape} from './shapes.js';

/*
 * A flash that reaches the wall throws the sitter's shadow there, and the shadow moves with the sitter: where it lay on the
 * plates the wall now shows as a bright, sharp band along its edge. A line that was drawn is told from it by its colour and
 * by what lies beside it: what came out of a shadow is as bright as the wall beside the shadow, all of it on one side.
 */

/**
 * The sitter's shadow on the wall moves with the sitter, and further than the head: so many times as far, and by this part
 * of the frame's longer edge where the head stood still. How much of what is seen the light beside it must explain.
 */
const SHADOW_MOVES = 6;
const LEAST_SHADOW_MOVE = 0.007;
const OUT_OF_SHADOW = 0.8;
const PARTS = [0.15, 0.3, 0.45, 0.6, 0.8, 1];
/** One in so many candidates is asked. */
export const ASKED = 4;
/** A group is such a band if one direction explains so much of it. */
const SHADOW = 0.75;

/** Directions from which a shadow, or the sitter, may have moved away. */
export const DIRECTIONS = [...new Array(12).keys()].map(n => {
  const angle = (2 * Math.PI * n) / 12;
  return {x: Math.cos(angle), y: Math.sin(angle)};
});

/** Beyond the directions' bits: it was asked. */
const WAS_ASKED = 1 << DIRECTIONS.length;

/**
 * How far a shadow may have moved, in pixels.
 * @param sway how far the head moved against the plates, in pixels
 */
export const shadowMovesFor = (sway: number, width: number, height: number): number[] =>
  movesUpTo(SHADOW_MOVES * sway + LEAST_SHADOW_MOVE * Math.max(width, height));

/** Lengths up to the farthest at which light is looked for. */
export const movesUpTo = (farthest: number): number[] => PARTS.map(part => part * farthest);

/**
 * From which directions the flashes' light on the wall close by would explain a pixel's rest in every channel, as bits:
 * where a shadow lay, and moved away.
 * @param order where each pixel of the frame stands among those of the light, from 1 on; 0 for the others
 * @param i which of them
 * @param moves how far away it is looked, in pixels
 */
export const fromWhere = (
  {at, expected, rest}: PixelLight,
  order: Int32Array,
  width: number,
  height: number,
  i: number,
  moves: readonly number[],
): number => {
  const x = at[i]! % width;
  const y = (at[i]! - x) / width;
  let from = WAS_ASKED;
  for (let n = 0; n < DIRECTIONS.length; n++) {
    const {x: across, y: down} = DIRECTIONS[n]!;
    for (let m = 0; m < moves.length; m++) {
      const px = Math.round(x + moves[m]! * across);
      const py = Math.round(y + moves[m]! * down);
      if (px < 0 || py < 0 || px >= width || py >= height) continue;
      const j = order[py * width + px]! - 1;
      if (j >= 0 && isExplained(expected, rest, i, j)) {
        from |= 1 << n;
        break;
      }
    }
  }
  return from;
};

const isExplained = (expected: Float32Array, rest: Float32Array, i: number, j: number): boolean => {
  for (let c = 0; c < 3; c++) {
    if (expected[3 * j + c]! - expected[3 * i + c]! < OUT_OF_SHADOW * rest[3 * i + c]!) return false;
  }
  return true;
};

/**
 * Which groups of candidates are where a shadow lay.
 * @param from what `fromWhere` said of each pixel of the frame
 * @param pixels the candidates, and `labels` which group each is of, from 1 on
 */
export const shadowsAmong = (
  from: Int32Array,
  pixels: Int32Array,
  labels: Int32Array,
  groups: readonly Shape[],
): boolean[] => {
  const {length} = DIRECTIONS;
  const counts = new Int32Array(groups.length * length);
  const asked = new Int32Array(groups.length);
  for (let i = 0; i < pixels.length; i++) {
    const bits = from[pixels[i]!] ?? 0;
    if (bits === 0) continue;
    const group = labels[i]! - 1;
    asked[group] = asked[group]! + 1;
    const first = group * length;
    for (let n = 0; n < length; n++) if ((bits >> n) & 1) counts[first + n] = counts[first + n]! + 1;
  }
  // What lies off the wall wasn't asked, and is no shadow on it.
  return groups.map(({pixels: size}, group) => {
    const most = Math.max(...counts.subarray(group * length, (group + 1) * length));
    return most > SHADOW * Math.max(asked[group]!, size / ASKED / 2);
  });
};
