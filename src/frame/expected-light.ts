import {sampleAt} from './bilinear.js';
import {lightAt, type ToneTable} from './curve/tone-curve.js';
import type {LightImage} from './light-image.js';
import {newLightImage} from './light-image.js';
import type {PreparedPlates} from './prepared-plates.js';
import {REGION, type RegionMap} from './regions.js';
import type {Placement} from './register/pose.js';
import type {WorkImage} from './work-image.js';

/** What the plates say the frame should hold, and what it holds beyond that. Linear, scene-referred. */
export type Expected = {
  /** Light of the plates in the fitted powers, where the head stands in this frame. */
  expected: LightImage;
  /** The frame's light less that: new room light, trail, noise, and what was misplaced. */
  rest: LightImage;
};

/** A light that takes part, where its pops found the head. */
export type ActiveLight = {image: WorkImage; power: number; placement: Placement};

const channels = ['r', 'g', 'b'] as const;

/**
 * Adds up the plates. The wall stays where it is; the sitter is taken from where the pose finds it. Around the sitter it
 * isn't known which of both a pixel is: there the one that explains more of the frame holds.
 */
export const expectedLight = (
  frame: WorkImage,
  plates: PreparedPlates,
  lights: readonly ActiveLight[],
  curve: ToneTable,
  regions: RegionMap,
): Expected => {
  const {width, height} = frame;
  const expected = newLightImage(width, height);
  const rest = newLightImage(width, height);
  for (const channel of channels) {
    const seen = frame[channel];
    const dark = plates.dark?.[channel] ?? null;
    const out = expected[channel];
    const left = rest[channel];
    for (let y = 0, at = 0; y < height; y++) {
      for (let x = 0; x < width; x++, at++) {
        const darkLight = dark ? lightAt(curve, dark[at]!) : 0;
        const light = lightAt(curve, seen[at]!);
        let standing = darkLight;
        for (const {image, power} of lights) standing += power * (lightAt(curve, image[channel][at]!) - darkLight);
        let chosen = standing;
        if (regions[at] !== REGION.wall) {
          let moved = darkLight;
          for (const {image, power, placement: p} of lights) {
            const px = p.ax * x + p.bx * y + p.cx;
            const py = p.ay * x + p.by * y + p.cy;
            moved += power * (lightAt(curve, sampleAt(image[channel], width, height, px, py)) - darkLight);
          }
          const isNear = regions[at] === REGION.near;
          chosen = isNear && Math.abs(light - standing) < Math.abs(light - moved) ? standing : moved;
        }
        out[at] = chosen > 0 ? chosen : 0;
        left[at] = light - chosen;
      }
    }
  }
  return {expected, rest};
};
