import type {FlashLight, Rig} from '../../shared/rig.js';
import {LightFault, positive} from './fault.js';
import {type WallHit, wallHit} from './geometry.js';
import {powerAtDistance} from './power.js';

/** What becomes of the wall when a light moves along its aim and its power keeps the face as it is. */
export type MoveEffect = {
  /** Change on the wall, EV; negative is darker. */
  wallEv: number;
  /** Power that keeps the face's level, as a fraction; above 1 the flash can't. */
  power: number;
};

/**
 * Moving a light nearer or farther at constant level on the face. The wall beyond lies at distance + w from the light,
 * so it changes by 2·log2[(d2/(d2+w)) / (d1/(d1+w))] (inverse square law on both; where the light strikes the wall stays).
 * @param beyondMetres from the face on to the wall along the beam, w, ≥ 0
 * @throws LightFault
 */
export const moveAtConstantFace = (
  fromMetres: number,
  toMetres: number,
  beyondMetres: number,
  power: number,
): MoveEffect => {
  const from = positive('The distance', fromMetres, 'm');
  const to = positive('The distance', toMetres, 'm');
  if (!(beyondMetres >= 0)) throw new LightFault('The wall must lie beyond the face; check its distance.');
  return {
    wallEv: 2 * Math.log2(to / (to + beyondMetres) / (from / (from + beyondMetres))),
    power: powerAtDistance(power, from, to),
  };
};

/**
 * The same for a light of the rig, with the wall its beam really strikes.
 * @returns null where the beam strikes no wall that the rig knows
 */
export const moveLight = (rig: Rig, light: FlashLight, toMetres: number): (MoveEffect & {hit: WallHit}) | null => {
  const hit = wallHit(rig, light);
  if (!hit) return null;
  const beyond = Math.max(0, hit.distanceMetres - light.distanceMetres);
  return {...moveAtConstantFace(light.distanceMetres, toMetres, beyond, light.power), hit};
};

/**
 * Level of a light on the wall it strikes against its level on the face, EV: the inverse square and the angle at which
 * it strikes the wall. Counts neither the wall's own tone nor what the sitter's body shades.
 */
export const wallAgainstFaceEv = (light: FlashLight, hit: WallHit): number =>
  2 * Math.log2(light.distanceMetres / hit.distanceMetres) + Math.log2(Math.max(hit.incidence, 1e-6));
