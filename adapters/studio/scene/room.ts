import type {Rig} from '../../../shared/rig.js';
import {luminance, type Rgb} from './colour.js';
import type {Lamp} from './flash.js';
import {passing} from './flash.js';
import type {Person} from './person.js';
import {roughness} from './random.js';
import {clamp, dot, lengthOf, minus, plus, ramp, times, unit, type Vector} from './space.js';
import type {View} from './view.js';

/** Where light comes in that should not: a gap beside a blind, a door. */
export type LeakSide = 'left' | 'right' | 'top' | 'bottom';

/** A picture of light: linear RGB, three numbers a pixel. */
export type Light = {width: number; height: number; rgb: Float32Array};

export const darkness = (width: number, height: number): Light => ({
  width,
  height,
  rgb: new Float32Array(width * height * 3),
});

/** How many picture pixels share one pixel of the wall's light: the wall is out of focus and lit softly. */
const WALL_STEP = 4;

export type WallPoint = {at: Vector; normal: Vector};

/** Where a ray meets the walls behind and beside the sitter. */
export const wallAt = (rig: Rig, eye: Vector, ray: Vector): WallPoint => {
  const {backWallMetres, leftWallMetres, rightWallMetres} = rig.mark;
  let t = ray[2] < -1e-6 ? (-backWallMetres - eye[2]) / ray[2] : Number.POSITIVE_INFINITY;
  let normal: Vector = [0, 0, 1];
  const left =
    leftWallMetres === null || ray[0] >= -1e-6 ? Number.POSITIVE_INFINITY : (-leftWallMetres - eye[0]) / ray[0];
  const right =
    rightWallMetres === null || ray[0] <= 1e-6 ? Number.POSITIVE_INFINITY : (rightWallMetres - eye[0]) / ray[0];
  if (left > 0 && left < t) [t, normal] = [left, [1, 0, 0]];
  if (right > 0 && right < t) [t, normal] = [right, [-1, 0, 0]];
  return {at: plus(eye, times(ray, Math.min(t, 100))), normal};
};

/** The wall's own tone: nearly black, brushed on unevenly. */
export const wallTone = ({at, normal}: WallPoint, salt: number): Rgb => {
  const along = normal[0] === 0 ? at[0] : at[2];
  const brushed =
    0.62 +
    0.5 * roughness(along * 2.2, at[1] * 1.4, normal[0], salt, 4) +
    0.3 * roughness(along * 30, at[1] * 7, 0, salt + 7, 3);
  return [0.05 * brushed, 0.05 * brushed, 0.053 * brushed];
};

type WallShade = (point: WallPoint, ray: Vector) => number | Rgb;

/** Lights the wall: `shade` says how much arrives at a point (1: as much as makes middle grey 0.18 of full scale). */
export const wallLight = (rig: Rig, view: View, salt: number, shade: WallShade): Light => {
  const {width, height} = view;
  const small = {width: Math.ceil(width / WALL_STEP) + 2, height: Math.ceil(height / WALL_STEP) + 2};
  const coarse = new Float32Array(small.width * small.height * 3);
  for (let y = 0; y < small.height; y += 1) {
    for (let x = 0; x < small.width; x += 1) {
      const ray = view.rayOf((x - 0.5) * WALL_STEP - 0.5, (y - 0.5) * WALL_STEP - 0.5);
      const point = wallAt(rig, view.eye, ray);
      const tone = wallTone(point, salt);
      const light = shade(point, ray);
      const [r, g, b] = typeof light === 'number' ? [light, light, light] : light;
      coarse.set([tone[0] * r, tone[1] * g, tone[2] * b], (y * small.width + x) * 3);
    }
  }
  return enlarge({...small, rgb: coarse}, width, height, WALL_STEP);
};

/** Bilinear, with the coarse picture's first pixel half a step outside the corner. */
const enlarge = (coarse: Light, width: number, height: number, step: number): Light => {
  const light = darkness(width, height);
  for (let y = 0; y < height; y += 1) {
    const sy = (y + 0.5) / step + 0.5;
    const iy = Math.min(coarse.height - 2, Math.floor(sy));
    const fy = sy - iy;
    for (let x = 0; x < width; x += 1) {
      const sx = (x + 0.5) / step + 0.5;
      const ix = Math.min(coarse.width - 2, Math.floor(sx));
      const fx = sx - ix;
      const from = (iy * coarse.width + ix) * 3;
      const below = from + coarse.width * 3;
      const to = (y * width + x) * 3;
      for (let c = 0; c < 3; c += 1) {
        const above = coarse.rgb[from + c]! * (1 - fx) + coarse.rgb[from + 3 + c]! * fx;
        const under = coarse.rgb[below + c]! * (1 - fx) + coarse.rgb[below + 3 + c]! * fx;
        light.rgb[to + c] = above * (1 - fy) + under * fy;
      }
    }
  }
  return light;
};

/** What a flash throws on the walls, straight and once more from the patch it strikes beside the frame. */
export const flashOnWall = (rig: Rig, person: Person | null, lamp: Lamp): WallShade => {
  const patch = wallAt(rig, lamp.at, lamp.axis);
  const reachesPatch = lengthOf(minus(patch.at, lamp.at));
  const patchTone = 0.05;
  const spread = 0.35 * reachesPatch ** 2 * lamp.reach(patch.at) * 0.4;
  return point => {
    const to = unit(minus(lamp.at, point.at));
    const facing = Math.max(0, dot(point.normal, to));
    let light = facing > 0 ? lamp.reach(point.at) * facing : 0;
    if (person && light > 1e-5) light *= passing(person, lamp, point.at, point.normal);
    const across = minus(point.at, patch.at);
    const far2 = dot(across, across) + 0.15;
    const way = unit(across);
    const bounce = Math.max(0, dot(patch.normal, way)) * Math.max(0, -dot(point.normal, way));
    return light + (patchTone * spread * bounce) / (Math.PI * far2);
  };
};

/** The light of a leak at a direction of the picture: strongest at its side, gone at the other. 1 at the edge. */
export const leakShade = (view: View, side: LeakSide): ((point: Vector) => number) => {
  return point => {
    const {x, y} = view.project(point);
    const across = {left: x / view.width, right: 1 - x / view.width, top: y / view.height, bottom: 1 - y / view.height}[
      side
    ];
    const along = side === 'left' || side === 'right' ? y / view.height : x / view.width;
    const near = clamp(across, -0.2, 1.2) + 0.12;
    return (0.0144 / (near * near)) * (0.55 + 0.45 * ramp(0.9, 0.35, Math.abs(along - 0.42))) * 0.9 + 0.02;
  };
};

/** Mean luminance of a picture of light, for tests and scaling. */
export const meanLuminance = (light: Light): number => {
  let sum = 0;
  for (let i = 0; i < light.rgb.length; i += 3) sum += luminance(light.rgb[i]!, light.rgb[i + 1]!, light.rgb[i + 2]!);
  return sum / (light.rgb.length / 3);
};
