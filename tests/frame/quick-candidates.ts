import type {PixelEllipse} from '../../src/frame/pixel-ellipse.js';
import {regionMap} from '../../src/frame/regions.js';
import type {Candidates} from '../../src/frame/trail/own-light.js';

/** A frame with a head in its middle, for what is judged by shapes alone. */
export const [width, height] = [600, 400];
export const face: PixelEllipse = {cx: 300, cy: 190, rx: 60, ry: 75};
export const regions = regionMap(face, width, height);
const TRAIL_LIGHT = 0.0225;

/**
 * Candidates for light over the frame: all that is as bright as a trail.
 * @param isCertain where it is beyond doubt, if not everywhere
 */
export const candidatesOf = (
  light: (x: number, y: number) => number,
  isCertain: (x: number, y: number) => boolean = () => true,
): Candidates => {
  const own = Float32Array.from({length: width * height}, (_, at) => light(at % width, Math.floor(at / width)));
  const mask = own.map((value, at) =>
    value <= TRAIL_LIGHT ? 0 : isCertain(at % width, Math.floor(at / width)) ? 2 : 1,
  );
  return {
    pixels: Int32Array.from([...own.keys()].filter(at => mask[at]! > 0)),
    mask: Uint8Array.from(mask),
    own,
    sure: new Float32Array(own.length).fill(20),
    outline: new Uint8Array(own.length),
    outOfShadow: new Int32Array(0),
    uncovered: new Uint8Array(own.length),
    lines: null,
    headLight: 0,
    newLight: new Float32Array(own.length),
  };
};
