import type {Rgb} from './colour.js';
import {type Lamp, passing} from './flash.js';
import type {Person} from './person.js';
import type {Relief} from './relief.js';
import {clamp, dot, minus, plus, unit, type Vector} from './space.js';

/** Light on the sitter, over the relief's box; three numbers a pixel, not yet weighted with its cover. */
export type Form = Float32Array;

const vectorAt = (from: Float32Array, index: number): Vector => [
  from[index * 3]!,
  from[index * 3 + 1]!,
  from[index * 3 + 2]!,
];

/**
 * Light from a direction on a piece of sitter: a matt part, a mirror-like part, and for skin a soft, red passage into
 * the shade, as light goes a little way under it.
 */
const thrownBack = (
  albedo: Vector,
  gloss: number,
  softness: number,
  normal: Vector,
  toLight: Vector,
  toEye: Vector,
): Rgb => {
  const facing = dot(normal, toLight);
  const matt = Math.max(0, facing);
  const under = softness * 0.16 * Math.max(0, 1 - Math.abs(facing) * 3) ** 2;
  const half = unit(plus(toLight, toEye));
  const shine =
    facing > 0 ? gloss * 0.055 * Math.max(0, dot(normal, half)) ** (gloss > 2 ? 220 : 18) * (gloss > 2 ? 14 : 1) : 0;
  // At a grazing angle everything mirrors more (Schlick 1994).
  const graze = facing > 0 ? (1 - Math.max(0, dot(normal, toEye))) ** 3 * 0.45 * Math.min(1, gloss + 0.3) * matt : 0;
  return [
    albedo[0] * (matt + under) + shine + graze * 0.5,
    albedo[1] * (matt + under * 0.45) + shine + graze * 0.5,
    albedo[2] * (matt + under * 0.3) + shine + graze * 0.5,
  ];
};

/** A lamp on the sitter at level 1: a grey card of 0.18 at the face, turned to the lamp, gives 0.18. */
export const lampOnPerson = (relief: Relief, person: Person, lamp: Lamp, eye: Vector): Form => {
  const form = new Float32Array(relief.cover.length * 3);
  for (let i = 0; i < relief.cover.length; i += 1) {
    if (relief.cover[i]! <= 0) continue;
    const place = vectorAt(relief.place, i);
    const reach = lamp.reach(place);
    if (reach <= 1e-5) continue;
    const normal = vectorAt(relief.normal, i);
    const toLight = unit(minus(lamp.at, place));
    if (dot(normal, toLight) < -0.35) continue;
    const free = passing(person, lamp, place, normal);
    if (free <= 0) continue;
    const light = reach * free * (0.35 + 0.65 * relief.open[i]!);
    const [r, g, b] = thrownBack(
      vectorAt(relief.albedo, i),
      relief.gloss[i]!,
      relief.softness[i]!,
      normal,
      toLight,
      unit(minus(eye, place)),
    );
    form.set([r * light, g * light, b * light], i * 3);
  }
  return form;
};

/** Light from everywhere, a little more from above. */
export const roomOnPerson = (relief: Relief): Form => {
  const form = new Float32Array(relief.cover.length * 3);
  for (let i = 0; i < relief.cover.length; i += 1) {
    if (relief.cover[i]! <= 0) continue;
    const light = relief.open[i]! * (0.68 + 0.32 * relief.normal[i * 3 + 1]!);
    for (let c = 0; c < 3; c += 1) form[i * 3 + c] = relief.albedo[i * 3 + c]! * light;
  }
  return form;
};

/** Light from a far, broad source in a direction: the leak. `strength` may vary over the room. */
export const leakOnPerson = (relief: Relief, from: Vector, strength: (place: Vector) => number): Form => {
  const form = new Float32Array(relief.cover.length * 3);
  for (let i = 0; i < relief.cover.length; i += 1) {
    if (relief.cover[i]! <= 0) continue;
    const normal = vectorAt(relief.normal, i);
    const light = clamp(dot(normal, from) * 0.75 + 0.25, 0, 1) * relief.open[i]! * strength(vectorAt(relief.place, i));
    for (let c = 0; c < 3; c += 1) form[i * 3 + c] = relief.albedo[i * 3 + c]! * light;
  }
  return form;
};

/** Light from a few points of the painting light's way: the glow that the moved light leaves on hair and shoulders. */
export const glowOnPerson = (relief: Relief, points: {at: Vector; weight: number}[]): Form => {
  const form = new Float32Array(relief.cover.length * 3);
  for (let i = 0; i < relief.cover.length; i += 1) {
    if (relief.cover[i]! <= 0) continue;
    const [nx, ny, nz] = [relief.normal[i * 3]!, relief.normal[i * 3 + 1]!, relief.normal[i * 3 + 2]!];
    const [px, py, pz] = [relief.place[i * 3]!, relief.place[i * 3 + 1]!, relief.place[i * 3 + 2]!];
    let light = 0;
    for (const {at, weight} of points) {
      const dx = at[0] - px;
      const dy = at[1] - py;
      const dz = at[2] - pz;
      const far2 = dx * dx + dy * dy + dz * dz + 0.002;
      const facing = (nx * dx + ny * dy + nz * dz) / Math.sqrt(far2);
      if (facing > 0) light += (weight * facing) / far2;
    }
    light *= relief.open[i]!;
    for (let c = 0; c < 3; c += 1) form[i * 3 + c] = relief.albedo[i * 3 + c]! * light;
  }
  return form;
};
