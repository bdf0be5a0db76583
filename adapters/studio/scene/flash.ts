import type {FlashLight, Rig} from '../../../shared/rig.js';
import type {Person} from './person.js';
import {dot, lengthOf, minus, plus, ramp, times, unit, type Vector} from './space.js';

/** One flash as it stands in the room. */
export type Lamp = {
  at: Vector;
  /** Unit direction of its axis. */
  axis: Vector;
  /** Distance at which its level is given, metres. */
  toFaceMetres: number;
  /**
   * Light that arrives at a point with nothing in between, against what arrives at the face on the axis (1): inverse
   * square and the snoot's spot.
   */
  reach(point: Vector): number;
  /** Diameter of the lit front, metres: how soft its shadows are. */
  frontMetres: number;
};

/** Where a light's distance is measured to: the front of the face. */
export const facePoint = (rig: Rig): Vector => [0, rig.mark.eyeHeightMetres - 0.03, 0.06];

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** Part of the source that is seen past the tube: full inside the spot, none outside the penumbra (references: similar triangles). */
const snootSpot = (light: FlashLight): ((alongMetres: number, offMetres: number) => number) => {
  const {snoot} = light;
  if (!snoot) {
    // A bare flash lights a wide, soft-edged field; a longer zoom narrows it.
    const half = Math.atan(24 / (light.zoomMillimetres ?? 35));
    return (along, off) => (along <= 0 ? 0 : ramp(half * 1.7, half * 0.7, Math.atan2(off, along)));
  }
  const tube = snoot.tubeMillimetres / 1000;
  const exit = snoot.exitMillimetres / 1000;
  const source = snoot.sourceMillimetres / 1000;
  return (along, off) => {
    const throwMetres = along - tube;
    if (throwMetres <= 0) return 0;
    const full = Math.max(0, (exit + ((exit - source) * throwMetres) / tube) / 2);
    const outer = (exit + ((exit + source) * throwMetres) / tube) / 2;
    return ramp(outer, Math.min(full, outer * 0.98), off);
  };
};

/** Puts a flash of the rig into the room. Its aim turns so that a positive angle moves the spot to the right of the picture. */
export const lampOf = (rig: Rig, light: FlashLight): Lamp => {
  const face = facePoint(rig);
  const rise = light.heightMetres - face[1];
  const across = Math.sqrt(Math.max(0.0025, light.distanceMetres ** 2 - rise ** 2));
  const angle = radians(light.angleDegrees);
  const at: Vector = [face[0] + Math.sin(angle) * across, light.heightMetres, face[2] + Math.cos(angle) * across];
  const straight = unit(minus(face, at));
  const turn = radians(light.aimOffDegrees) * (Math.cos(angle) >= 0 ? 1 : -1);
  const axis: Vector = [
    straight[0] * Math.cos(turn) - straight[2] * Math.sin(turn),
    straight[1],
    straight[2] * Math.cos(turn) + straight[0] * Math.sin(turn),
  ];
  const toFaceMetres = lengthOf(minus(face, at));
  const spot = snootSpot(light);
  return {
    at,
    axis,
    toFaceMetres,
    frontMetres: (light.snoot?.sourceMillimetres ?? 60) / 1000,
    reach: point => {
      const away = minus(point, at);
      const along = dot(away, axis);
      const off = lengthOf(minus(away, times(axis, along)));
      return spot(along, off) * (toFaceMetres ** 2 / dot(away, away));
    },
  };
};

/** Part of the light that passes the sitter on its way from the lamp to a point, 0 to 1; soft as the lamp is wide. */
export const passing = (person: Person, lamp: Lamp, point: Vector, normal: Vector): number => {
  const start = plus(point, times(normal, 0.005));
  const away = minus(lamp.at, start);
  const far = lengthOf(away);
  const to = times(away, 1 / far);
  // Nothing outside the sitter's sphere can throw a shadow.
  const centre = minus(person.whole.at, start);
  const middle = dot(centre, to);
  const miss2 = dot(centre, centre) - middle * middle;
  const radius = person.whole.radius;
  if (miss2 >= radius * radius) return 1;
  const half = Math.sqrt(radius * radius - miss2);
  if (middle + half <= 0) return 1;
  let t = Math.max(0.008, middle - half);
  const end = Math.min(far, middle + half);
  const hardness = lamp.toFaceMetres / Math.max(0.01, lamp.frontMetres);
  let free = 1;
  for (let step = 0; step < 48 && t < end; step += 1) {
    const d = person.rough(start[0] + to[0] * t, start[1] + to[1] * t, start[2] + to[2] * t);
    if (d < -0.001) return 0;
    free = Math.min(free, 0.5 + (0.5 * hardness * d) / t);
    t += Math.max(0.005, d * 0.9);
  }
  return free;
};
