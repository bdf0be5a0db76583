import {REGION, type RegionMap} from '../regions.js';
import {ridgeDistances, standsOut} from './ridge.js';

/*
 * A bar, a rail, a cord on the wall: narrow things that reflect much more than the wall behind them shine in a leak as a
 * trail does, and may be too few to tell how brightly. But they are on the dark plate already, where no trail is.
 */

/** A thing stands above both its sides by so much of its light on the dark plate, and by more than eight bits leave, linear. */
const STANDS_OUT = 0.5;
const LEAST = 0.0012;

/**
 * What the dark plate shows of narrow things on the wall, and where a body may be that mostly isn't.
 * @param dark its luminance, a little smoothed, linear
 * @returns its luminance where such a thing is; else 0
 */
export const wallThings = (dark: Float32Array, regions: RegionMap, width: number, height: number): Float32Array => {
  const things = new Float32Array(dark.length);
  const distances = ridgeDistances(width, height);
  for (let at = 0; at < dark.length; at++) {
    const light = dark[at]!;
    if (light <= LEAST || regions[at] === REGION.head) continue;
    if (standsOut(dark, width, height, at, distances, Math.max(LEAST, STANDS_OUT * light))) things[at] = light;
  }
  return things;
};

/** A leak makes things no more than so many times as bright as the dark room did; a trail may. */
const MOST_RISE = 2 ** 6;
/** And it shows on the wall about them, linear. */
const LEAST_LEAK = 0.0006;

/**
 * Whether a pixel may be such a thing in a leak.
 * @param light its own beyond plates and flashes, linear
 * @param newLight that is told to lie on it, linear
 */
export const mayBeThing = (things: Float32Array, at: number, light: number, newLight: number): boolean =>
  things[at]! > 0 && newLight > LEAST_LEAK && light <= MOST_RISE * things[at]!;
