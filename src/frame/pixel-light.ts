import {codeNoise} from './code-noise.js';
import {lightAt, type ToneTable} from './curve/tone-curve.js';
import type {PreparedPlates} from './prepared-plates.js';
import {REGION, type RegionMap} from './regions.js';
import type {Placement} from './register/pose.js';
import type {WorkImage} from './work-image.js';

/** A light that takes part: which of the plates' lights, how strong, and where its pops found the head. */
export type ActiveLight = {index: number; power: number; placement: Placement};

/**
 * What the plates say that some pixels should hold, and what they hold beyond that: linear, scene-referred, three values
 * a pixel (red, green, blue).
 */
export type PixelLight = {
  /** The pixels, as places in the frame's planes. */
  at: Int32Array;
  expected: Float32Array;
  rest: Float32Array;
  /** How much the expected luminance changes within a pixel: what a misplaced head would do. */
  rough: Float32Array;
  /** σ of the rest by noise in frame and plates, three values a pixel. */
  noise: Float32Array;
};

const slopeAt = (table: ToneTable, code: number): number => {
  const low = Math.min(254, code | 0);
  return table[low + 1]! - table[low]!;
};

/**
 * Adds up the plates for some pixels. The wall stays where it is; the sitter is taken from where the pose finds it. Around
 * the sitter it isn't known which of both a pixel is: there the one that explains more of the frame holds.
 */
export const pixelLight = (
  frame: WorkImage,
  plates: PreparedPlates,
  lights: readonly ActiveLight[],
  curve: ToneTable,
  regions: RegionMap,
  at: Int32Array,
): PixelLight => {
  const {width, height} = frame;
  const seen = [frame.r, frame.g, frame.b];
  const dark = plates.dark ? [plates.dark.r, plates.dark.g, plates.dark.b] : null;
  const planes = lights.map(({index}) => {
    const {image} = plates.lights[index]!;
    return [image.r, image.g, image.b];
  });
  const out: PixelLight = {
    at,
    expected: new Float32Array(3 * at.length),
    rest: new Float32Array(3 * at.length),
    rough: new Float32Array(at.length),
    noise: new Float32Array(3 * at.length),
  };
  const platesNoise = lights.map(({index, power}) => power * plates.codeNoise[index]!);
  const ownNoise = codeNoise(frame);
  const slopes = Float32Array.from({length: 256}, (_, code) => slopeAt(curve, code) ** 2);
  const cells = cellsOf(width, height, lights.length);
  for (let i = 0; i < at.length; i++) {
    const pixel = at[i]!;
    const region = regions[pixel]!;
    const onWall = region === REGION.wall;
    const x = pixel % width;
    const y = (pixel - x) / width;
    let rough = 0;
    for (let k = 0; k < lights.length; k++) {
      const {placement: p, power, index} = lights[k]!;
      let place = pixel;
      if (!onWall) place = cells.set(k, p.ax * x + p.bx * y + p.cx, p.ay * x + p.by * y + p.cy);
      rough += power * plates.rough[index]![place]!;
    }
    out.rough[i] = rough;
    for (let c = 0; c < 3; c++) {
      const darkLight = dark ? lightAt(curve, dark[c]![pixel]!) : 0;
      const code = seen[c]![pixel]!;
      const light = lightAt(curve, code);
      let noise = ownNoise * ownNoise * slopes[code | 0]!;
      let still = darkLight;
      for (let k = 0; k < lights.length; k++) {
        const own = planes[k]![c]![pixel]!;
        noise += platesNoise[k]! * platesNoise[k]! * slopes[own | 0]!;
        if (onWall || region === REGION.near) still += lights[k]!.power * (lightAt(curve, own) - darkLight);
      }
      out.noise[3 * i + c] = Math.sqrt(noise);
      let chosen = still;
      if (!onWall) {
        let moved = darkLight;
        for (let k = 0; k < lights.length; k++) {
          moved += lights[k]!.power * (lightAt(curve, cells.read(k, planes[k]![c]!)) - darkLight);
        }
        if (region !== REGION.near || Math.abs(light - moved) < Math.abs(light - still)) chosen = moved;
      }
      out.expected[3 * i + c] = Math.max(0, chosen);
      out.rest[3 * i + c] = light - chosen;
    }
  }
  return out;
};

/** Places between pixels, one a light: found once, read from many planes. Edges are repeated. */
const cellsOf = (width: number, height: number, count: number) => {
  const corners = new Int32Array(count);
  const across = new Float64Array(count);
  const down = new Float64Array(count);
  const right = width > 1 ? 1 : 0;
  const below = height > 1 ? width : 0;
  return {
    /** @returns the pixel at the place's upper left */
    set(k: number, x: number, y: number): number {
      const cx = Math.max(0, Math.min(width - 1, x));
      const cy = Math.max(0, Math.min(height - 1, y));
      const x0 = Math.min(cx | 0, Math.max(0, width - 2));
      const y0 = Math.min(cy | 0, Math.max(0, height - 2));
      corners[k] = y0 * width + x0;
      across[k] = cx - x0;
      down[k] = cy - y0;
      return corners[k]!;
    },
    read(k: number, plane: Float32Array): number {
      const corner = corners[k]!;
      const fx = across[k]!;
      const top = plane[corner]! + fx * (plane[corner + right]! - plane[corner]!);
      const bottom = plane[corner + below]! + fx * (plane[corner + below + right]! - plane[corner + below]!);
      return top + down[k]! * (bottom - top);
    },
  };
};
