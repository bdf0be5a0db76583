import type {Rig} from '../../../shared/rig.js';
import {type Lamp, passing} from './flash.js';
import {addEnlarged, darkness, type Light} from './light.js';
import type {Person} from './person.js';
import {roughness} from './random.js';
import {clamp, dot, lengthOf, minus, plus, ramp, times, unit, type Vector} from './space.js';
import type {View} from './view.js';

/** Where light comes in that should not: a gap beside a blind, a door. */
export type LeakSide = 'left' | 'right' | 'top' | 'bottom';

type WallPoint = {at: Vector; normal: Vector};

/**
 * The walls as the camera sees them, coarsely: they are out of focus and softly lit, so that one of these pixels stands
 * for `WALL_STEP` squared of the picture, with one more all around.
 */
export type Wall = {width: number; height: number; points: WallPoint[]; tone: Float32Array};

const WALL_STEP = 4;

/** Part of the light that the wall throws back: nearly black paint. */
const PAINT = 0.05;

/** Where a ray meets the walls behind and beside the sitter. */
const wallAt = (rig: Rig, from: Vector, ray: Vector): WallPoint => {
  const {backWallMetres, leftWallMetres, rightWallMetres} = rig.mark;
  let t = ray[2] < -1e-6 ? (-backWallMetres - from[2]) / ray[2] : Number.POSITIVE_INFINITY;
  let normal: Vector = [0, 0, 1];
  if (leftWallMetres !== null && ray[0] < -1e-6) {
    const left = (-leftWallMetres - from[0]) / ray[0];
    if (left > 0 && left < t) [t, normal] = [left, [1, 0, 0]];
  }
  if (rightWallMetres !== null && ray[0] > 1e-6) {
    const right = (rightWallMetres - from[0]) / ray[0];
    if (right > 0 && right < t) [t, normal] = [right, [-1, 0, 0]];
  }
  return {at: plus(from, times(ray, Math.min(t, 100))), normal};
};

/** The wall's own tone: black paint, brushed on unevenly. */
const toneOf = ({at, normal}: WallPoint, salt: number): number => {
  const along = normal[0] === 0 ? at[0] : at[2];
  const coats = roughness(along * 2.2, at[1] * 1.4, normal[0], salt, 4);
  const strokes = roughness(along * 30, at[1] * 7, 0, salt + 7, 3);
  return PAINT * (0.62 + 0.5 * coats + 0.3 * strokes);
};

/** Looks at the bare walls once. */
export const wallOf = (rig: Rig, view: View, salt: number): Wall => {
  const width = Math.ceil(view.width / WALL_STEP) + 2;
  const height = Math.ceil(view.height / WALL_STEP) + 2;
  const points: WallPoint[] = [];
  const tone = new Float32Array(width * height);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const ray = view.rayOf((x - 0.5) * WALL_STEP - 0.5, (y - 0.5) * WALL_STEP - 0.5);
      const point = wallAt(rig, view.eye, ray);
      points.push(point);
      tone[y * width + x] = toneOf(point, salt);
    }
  }
  return {width, height, points, tone};
};

/** Lights the wall: `shade` says how much arrives at a point (1: as much as makes 0.18 of a middle grey). */
export const litWall = (wall: Wall, shade: (point: WallPoint) => number): Light => {
  const light = darkness(wall.width, wall.height);
  for (const [i, point] of wall.points.entries()) {
    const value = wall.tone[i]! * shade(point);
    light.rgb[i * 3] = value;
    light.rgb[i * 3 + 1] = value;
    light.rgb[i * 3 + 2] = value * 1.05;
  }
  return light;
};

/** Adds a lit wall to the picture. */
export const addWall = (to: Light, wall: Light): void => addEnlarged(to, wall, WALL_STEP, 1);

/** What a flash throws on the walls: straight, past the sitter, and once more from the patch that its axis strikes. */
export const flashOnWall = (rig: Rig, person: Person | null, lamp: Lamp): ((point: WallPoint) => number) => {
  const patch = wallAt(rig, lamp.at, lamp.axis);
  const patchMetres = lengthOf(minus(patch.at, lamp.at));
  // Area of the lit patch times the light on it, if the sitter's body stops half of it.
  const thrown = 0.5 * lamp.reach(patch.at) * (0.3 * patchMetres) ** 2 * PAINT;
  return point => {
    const facing = dot(point.normal, unit(minus(lamp.at, point.at)));
    let light = facing > 0 ? lamp.reach(point.at) * facing : 0;
    if (person && light > 1e-5) light *= passing(person, lamp, point.at, point.normal);
    const across = minus(point.at, patch.at);
    const way = unit(across);
    const bounce = Math.max(0, dot(patch.normal, way)) * Math.max(0, -dot(point.normal, way));
    return light + (thrown * bounce) / (Math.PI * (dot(across, across) + 0.1));
  };
};

/** How strong a leak is at a point of the room: 1 at its side of the picture, a few hundredths at the other. */
export const leakStrength = (view: View, side: LeakSide): ((point: Vector) => number) => {
  const upright = side === 'top' || side === 'bottom';
  return point => {
    const {x, y} = view.project(point);
    const across = upright ? y / view.height : x / view.width;
    const along = upright ? x / view.width : y / view.height;
    const near = clamp(side === 'left' || side === 'top' ? across : 1 - across, -0.05, 1.2) + 0.2;
    return (0.04 / (near * near)) * (0.6 + 0.4 * ramp(0.6, 0.15, Math.abs(along - 0.42))) + 0.02;
  };
};

/** Direction from the sitter to where a leak comes in. */
export const leakDirection = (side: LeakSide): Vector => {
  const directions: Record<LeakSide, Vector> = {
    left: [-0.95, 0.1, -0.3],
    right: [0.95, 0.1, -0.3],
    top: [0, 0.98, -0.2],
    bottom: [0, -0.98, -0.2],
  };
  return directions[side];
};
