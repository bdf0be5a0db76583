import {sampleAt} from './bilinear.js';
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
  const places = new Float64Array(2 * lights.length);
  for (let i = 0; i < at.length; i++) {
    const pixel = at[i]!;
    const region = regions[pixel]!;
    const x = pixel % width;
    const y = (pixel - x) / width;
    let rough = 0;
    for (let k = 0; k < lights.length; k++) {
      const {placement: p, power, index} = lights[k]!;
      const px = p.ax * x + p.bx * y + p.cx;
      const py = p.ay * x + p.by * y + p.cy;
      places[2 * k] = px;
      places[2 * k + 1] = py;
      rough +=
        power *
        (region === REGION.wall ? plates.rough[index]![pixel]! : sampleAt(plates.rough[index]!, width, height, px, py));
    }
    out.rough[i] = rough;
    for (let c = 0; c < 3; c++) {
      const darkLight = dark ? lightAt(curve, dark[c]![pixel]!) : 0;
      const code = seen[c]![pixel]!;
      const light = lightAt(curve, code);
      let noise = (ownNoise * slopeAt(curve, code)) ** 2;
      for (let k = 0; k < lights.length; k++) {
        noise += (platesNoise[k]! * slopeAt(curve, planes[k]![c]![pixel]!)) ** 2;
      }
      out.noise[3 * i + c] = Math.sqrt(noise);
      let chosen = darkLight;
      if (region === REGION.wall || region === REGION.near) {
        for (let k = 0; k < lights.length; k++) {
          chosen += lights[k]!.power * (lightAt(curve, planes[k]![c]![pixel]!) - darkLight);
        }
      }
      if (region !== REGION.wall) {
        let moved = darkLight;
        for (let k = 0; k < lights.length; k++) {
          const found = sampleAt(planes[k]![c]!, width, height, places[2 * k]!, places[2 * k + 1]!);
          moved += lights[k]!.power * (lightAt(curve, found) - darkLight);
        }
        if (region !== REGION.near || Math.abs(light - moved) < Math.abs(light - chosen)) chosen = moved;
      }
      out.expected[3 * i + c] = Math.max(0, chosen);
      out.rest[3 * i + c] = light - chosen;
    }
  }
  return out;
};
