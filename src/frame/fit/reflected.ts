import {sampleAt} from '../bilinear.js';
import {firstCurve, lightAt} from '../curve/tone-curve.js';
import {luminanceOf} from '../luma.js';
import type {Placement} from '../register/pose.js';
import type {Tint} from './added-light.js';
import type {Samples} from './samples.js';

/*
 * What a sitter reflects of the room's new light: skin, hair and clothes have colours, which the room's own light shows on
 * the dark plate. Of how much they reflect the dark plate and the detail of all plates say different things, since light and
 * shade on the dark plate are the room's own: neither alone tells flashes from it better than half way between.
 */

/** Relative reflectance over the plates, 1 on average. */
export type Reflectance = {plane: Float32Array; width: number; height: number};

/** Dark plates show colours of what is brighter than this, linear; of what is darker, ever less. */
const DARK_NOISE = 0.0007;
/** The part that a dark plate which shows the sitter has in how much is reflected. */
const SHADED = 0.5;

/** Mean light of the dark plate by channel, linear, over samples. */
const meanDark = ({dark, count}: Samples): Tint => {
  const mean = (c: number): number => {
    let sum = 0;
    for (let i = c * count; i < (c + 1) * count; i++) sum += lightAt(firstCurve, dark[i]!);
    return sum / Math.max(1, count);
  };
  return [mean(0), mean(1), mean(2)];
};

/**
 * Samples on the sitter, with how much of new light each reflects, about 1 on average.
 * @param placement where the reflectance's plane shows what the frame shows
 */
export const reflecting = (sitter: Samples, {plane, width, height}: Reflectance, placement: Placement): Samples => {
  const {count, xs, ys, dark} = sitter;
  const mean = meanDark(sitter);
  const reflected = new Float64Array(3 * count);
  const own = new Float32Array(3);
  const lit = Math.max(...mean);
  const shade = (SHADED * lit) / (lit + DARK_NOISE);
  for (let i = 0; i < count; i++) {
    const px = placement.ax * xs[i]! + placement.bx * ys[i]! + placement.cx;
    const py = placement.ay * xs[i]! + placement.by * ys[i]! + placement.cy;
    const detail = sampleAt(plane, width, height, px, py);
    for (let c = 0; c < 3; c++) {
      own[c] = (lightAt(firstCurve, dark[c * count + i]!) + DARK_NOISE) / (mean[c as 0 | 1 | 2] + DARK_NOISE);
    }
    const shaded = luminanceOf(own, 0);
    const part = (shaded ** shade * detail ** (1 - shade)) / shaded;
    for (let c = 0; c < 3; c++) reflected[c * count + i] = own[c]! * part;
  }
  return {...sitter, reflected};
};

/** New light as it may be on the sitter, by what it is on the wall: the room's own lies on both. */
export const tintOnSitter = (onWall: Tint, sitter: Samples, wall: Samples): Tint => {
  const [there, here] = [meanDark(wall), meanDark(sitter)];
  const own = (c: 0 | 1 | 2): number => (onWall[c] * (here[c] + DARK_NOISE)) / (there[c] + DARK_NOISE);
  return [own(0), own(1), own(2)];
};
