import {luminance} from '../../../adapters/studio/scene/colour.js';
import type {Light} from '../../../adapters/studio/scene/light.js';
import type {Shot} from '../../../adapters/studio/scene/moments.js';
import {type RoomSettings, usualRoom} from '../../../adapters/studio/scene/stage.js';
import {usualCueSheet} from '../../../shared/cues.js';
import {levelEv} from '../../../shared/level.js';
import {demoRig, type FlashLight, type Rig} from '../../../shared/rig.js';
import type {Arrangement} from '../../../shared/room.js';

/** A room without chance: nobody sways, flashes never vary. */
export const steadyRoom: RoomSettings = {...usualRoom, flashSpreadEv: 0, swayMetres: 0};

export const arrangementOf = (change: Partial<Arrangement> = {}): Arrangement => ({
  rig: demoRig,
  firing: ['A', 'B'],
  roomLights: false,
  sitter: true,
  painting: false,
  cues: usualCueSheet(8),
  ...change,
});

/** The demo's exposure, 8 s f/8 ISO 100, in focus, with what a test changes. */
export const shotOf = (arrangement: Partial<Arrangement> = {}, change: Partial<Shot> = {}): Shot => ({
  seed: 5,
  exposureNumber: 0,
  paintingNumber: 0,
  arrangement: arrangementOf(arrangement),
  exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
  openSeconds: 8,
  plannedSeconds: 8,
  focusMetres: demoRig.mark.cameraDistanceMetres - 0.06,
  slip: 'none',
  ...change,
});

/** The demo rig with one light changed. */
export const rigWith = (id: string, change: Partial<FlashLight>): Rig => ({
  ...demoRig,
  lights: demoRig.lights.map(light => (light.id === id ? {...light, ...change} : light)),
});

const luminanceAt = (light: Light, i: number): number =>
  luminance(light.rgb[i * 3]!, light.rgb[i * 3 + 1]!, light.rgb[i * 3 + 2]!);

/** Mean level, EV around middle grey, of a patch: its middle and half its width in fractions of the picture. */
export const patchEv = (light: Light, cx: number, cy: number, half = 0.008): number => {
  let sum = 0;
  let count = 0;
  for (let y = Math.floor((cy - half) * light.height); y <= (cy + half) * light.height; y += 1) {
    for (let x = Math.floor((cx - half) * light.width); x <= (cx + half) * light.width; x += 1) {
      sum += luminanceAt(light, y * light.width + x);
      count += 1;
    }
  }
  return levelEv(sum / count);
};

/** Places in the demo picture, fractions of the frame. */
export const spots = {
  litCheek: {x: 0.463, y: 0.475},
  forehead: {x: 0.482, y: 0.42},
  wallRight: {x: 0.93, y: 0.5},
  wallLeft: {x: 0.06, y: 0.4},
} as const;

export const evAt = (light: Light, spot: keyof typeof spots): number => patchEv(light, spots[spot].x, spots[spot].y);

/** Largest difference between two pictures of light, against the brightest pixel. */
export const largestDifference = (a: Light, b: Light): number => {
  let most = 0;
  let peak = 0;
  for (let i = 0; i < a.rgb.length; i += 1) {
    most = Math.max(most, Math.abs(a.rgb[i]! - b.rgb[i]!));
    peak = Math.max(peak, a.rgb[i]!);
  }
  return most / peak;
};

/** Sum, or weighted sum, of pictures of light. */
export const sumOf = (...parts: [Light, number][]): Light => {
  const first = parts[0]![0];
  const rgb = new Float32Array(first.rgb.length);
  for (const [light, weight] of parts)
    for (let i = 0; i < rgb.length; i += 1) rgb[i] = rgb[i]! + light.rgb[i]! * weight;
  return {width: first.width, height: first.height, rgb};
};

/** Part of the ellipse's pixels above a level. */
export const partAbove = (
  light: Light,
  ellipse: {cx: number; cy: number; rx: number; ry: number},
  ev: number,
): number => {
  let inside = 0;
  let above = 0;
  for (let y = 0; y < light.height; y += 1) {
    for (let x = 0; x < light.width; x += 1) {
      const dx = ((x + 0.5) / light.width - ellipse.cx) / ellipse.rx;
      const dy = ((y + 0.5) / light.height - ellipse.cy) / ellipse.ry;
      if (dx * dx + dy * dy > 1) continue;
      inside += 1;
      if (levelEv(luminanceAt(light, y * light.width + x)) > ev) above += 1;
    }
  }
  return above / inside;
};

/** Mean square of the 4-neighbour Laplacian inside a box: how sharp it is. */
export const sharpnessIn = (light: Light, x0: number, y0: number, x1: number, y1: number): number => {
  let sum = 0;
  let count = 0;
  for (let y = Math.floor(y0 * light.height); y < y1 * light.height; y += 1) {
    for (let x = Math.floor(x0 * light.width); x < x1 * light.width; x += 1) {
      const i = y * light.width + x;
      const around =
        luminanceAt(light, i - 1) +
        luminanceAt(light, i + 1) +
        luminanceAt(light, i - light.width) +
        luminanceAt(light, i + light.width);
      sum += (around - 4 * luminanceAt(light, i)) ** 2;
      count += 1;
    }
  }
  return sum / count;
};
