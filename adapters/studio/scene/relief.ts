import {albedoOf} from './materials.js';
import type {Person} from './person.js';
import {ROUGH_ERROR} from './rough.js';
import {clamp, type Vector} from './space.js';
import type {View} from './view.js';

/**
 * What the camera sees of the sitter, pixel by pixel, without any light: found once and lit many times. Covers the
 * box from (left, top), `width` × `height` pixels of the picture; vectors take three numbers a pixel.
 */
export type Relief = {
  left: number;
  top: number;
  width: number;
  height: number;
  /** Part of the pixel that the sitter covers, 0 to 1. */
  cover: Float32Array;
  /** Distance along the camera's axis, metres. */
  depth: Float32Array;
  /** Point of the room, metres. */
  place: Float32Array;
  /** Unit normal. */
  normal: Float32Array;
  /** Part of the light that is thrown back, linear RGB. */
  albedo: Float32Array;
  /** Strength of the mirror-like part, and how soft the skin carries light around a corner, 0 to 1 each. */
  gloss: Float32Array;
  softness: Float32Array;
  /** Part of the surroundings that the point sees, 0 to 1. */
  open: Float32Array;
};

const BLOCK = 4;

/** Where the sphere falls in the picture, pixels. */
const boxOf = (view: View, at: Vector, radius: number) => {
  const {x, y, depth} = view.project(at);
  const reach = view.pixelsPerMetre(Math.max(0.05, depth - radius)) * radius;
  const left = clamp(Math.floor((x - reach) / BLOCK) * BLOCK, 0, view.width);
  const top = clamp(Math.floor((y - reach) / BLOCK) * BLOCK, 0, view.height);
  return {
    left,
    top,
    width: Math.max(0, clamp(Math.ceil(x + reach), 0, view.width) - left),
    height: Math.max(0, clamp(Math.ceil(y + reach), 0, view.height) - top),
  };
};

type Hit = {t: number; nearest: number; nearestT: number};

/** Walks along a ray until the surface is nearer than a part of a pixel; keeps the nearest pass where it misses. */
const walk = (
  person: Person,
  eye: Vector,
  ray: Vector,
  from: number,
  to: number,
  pixelAngle: number,
  stopAt: number,
): Hit => {
  let t = from;
  let nearest = Number.POSITIVE_INFINITY;
  let nearestT = from;
  for (let step = 0; step < 90 && t < to; step += 1) {
    const x = eye[0] + ray[0] * t;
    const y = eye[1] + ray[1] * t;
    const z = eye[2] + ray[2] * t;
    const rough = person.rough(x, y, z) - ROUGH_ERROR;
    if (rough > 0.008) {
      t += rough;
      continue;
    }
    const d = person.distance(x, y, z);
    const width = d / (t * pixelAngle);
    if (width < nearest) {
      nearest = width;
      nearestT = t;
    }
    if (width < stopAt) return {t, nearest, nearestT};
    t += d * 0.92;
  }
  return {t: Number.POSITIVE_INFINITY, nearest, nearestT};
};

/** Sees the sitter through the camera. Takes about a microsecond for each pixel and step. */
export const reliefOf = (view: View, person: Person): Relief => {
  const box = boxOf(view, person.whole.at, person.whole.radius);
  const {left, top, width, height} = box;
  const count = width * height;
  const relief: Relief = {
    ...box,
    cover: new Float32Array(count),
    depth: new Float32Array(count),
    place: new Float32Array(count * 3),
    normal: new Float32Array(count * 3),
    albedo: new Float32Array(count * 3),
    gloss: new Float32Array(count),
    softness: new Float32Array(count),
    open: new Float32Array(count),
  };
  const depth = view.project(person.whole.at).depth;
  const pixelAngle = 1 / view.pixelsPerMetre(1);
  const near = Math.max(0.05, depth - person.whole.radius);
  const far = depth + person.whole.radius;
  for (let by = 0; by < height; by += BLOCK) {
    for (let bx = 0; bx < width; bx += BLOCK) {
      const middle = view.rayOf(left + bx + BLOCK / 2 - 0.5, top + by + BLOCK / 2 - 0.5);
      // A whole block walks together until the surface comes within its width; then each pixel goes on alone.
      const together = walk(person, view.eye, middle, near, far, pixelAngle, BLOCK);
      if (together.t === Number.POSITIVE_INFINITY) continue;
      const start = Math.max(near, together.t - BLOCK * together.t * pixelAngle);
      for (let y = by; y < Math.min(height, by + BLOCK); y += 1) {
        for (let x = bx; x < Math.min(width, bx + BLOCK); x += 1) {
          see(view, person, relief, x, y, start, far, pixelAngle);
        }
      }
    }
  }
  return cropped(relief);
};

/** Cuts away what the sitter does not reach. */
const cropped = (relief: Relief): Relief => {
  let [x0, x1, y0, y1] = [relief.width, 0, relief.height, 0];
  for (let i = 0; i < relief.cover.length; i += 1) {
    if (relief.cover[i]! <= 0) continue;
    const x = i % relief.width;
    const y = Math.floor(i / relief.width);
    x0 = Math.min(x0, x);
    x1 = Math.max(x1, x + 1);
    y0 = Math.min(y0, y);
    y1 = Math.max(y1, y + 1);
  }
  const width = Math.max(1, x1 - x0);
  const height = Math.max(1, y1 - y0);
  const cut = (from: Float32Array, numbers: number): Float32Array => {
    const to = new Float32Array(width * height * numbers);
    for (let y = 0; y < height; y += 1) {
      const start = ((y + y0) * relief.width + x0) * numbers;
      to.set(from.subarray(start, start + width * numbers), y * width * numbers);
    }
    return to;
  };
  return {
    left: relief.left + x0,
    top: relief.top + y0,
    width,
    height,
    cover: cut(relief.cover, 1),
    depth: cut(relief.depth, 1),
    place: cut(relief.place, 3),
    normal: cut(relief.normal, 3),
    albedo: cut(relief.albedo, 3),
    gloss: cut(relief.gloss, 1),
    softness: cut(relief.softness, 1),
    open: cut(relief.open, 1),
  };
};

const see = (
  view: View,
  person: Person,
  relief: Relief,
  x: number,
  y: number,
  start: number,
  far: number,
  pixelAngle: number,
): void => {
  const ray = view.rayOf(relief.left + x, relief.top + y);
  const hit = walk(person, view.eye, ray, start, far, pixelAngle, 0.2);
  const missed = hit.t === Number.POSITIVE_INFINITY;
  const cover = missed ? clamp(1 - hit.nearest * 1.4, 0, 1) : 1;
  if (cover <= 0) return;
  const t = missed ? hit.nearestT : hit.t;
  const px = view.eye[0] + ray[0] * t;
  const py = view.eye[1] + ray[1] * t;
  const pz = view.eye[2] + ray[2] * t;
  const at = y * relief.width + x;
  relief.cover[at] = cover;
  relief.depth[at] = view.project([px, py, pz]).depth;
  relief.place.set([px, py, pz], at * 3);
  const step = Math.max(0.0006, t * pixelAngle * 0.6);
  const a = person.distance(px + step, py - step, pz - step);
  const b = person.distance(px - step, py - step, pz + step);
  const c = person.distance(px - step, py + step, pz - step);
  const d = person.distance(px + step, py + step, pz + step);
  const nx = a - b - c + d;
  const ny = -a - b + c + d;
  const nz = -a + b - c + d;
  const size = Math.sqrt(nx * nx + ny * ny + nz * nz) || 1;
  relief.normal.set([nx / size, ny / size, nz / size], at * 3);
  let hidden = 0;
  for (let i = 1; i <= 3; i += 1) {
    const out = 0.006 * i * i;
    const free = person.rough(px + (nx / size) * out, py + (ny / size) * out, pz + (nz / size) * out);
    hidden += Math.max(0, out - free) / out / (i + 0.4);
  }
  relief.open[at] = clamp(1 - hidden * 0.75, 0.08, 1);
  const material = albedoOf(person.stuffAt(px, py, pz), person.inHead([px, py, pz]), [px, py, pz]);
  relief.albedo.set(material.albedo, at * 3);
  relief.gloss[at] = material.gloss;
  relief.softness[at] = material.softness;
};
