import type {FlashLight, Rig} from '../../shared/rig.js';
import {manyStops, modifierLossStops} from './flash.js';
import {alongBeam, stanceOf, standsPossible, wallSeenAt} from './geometry.js';
import {snootShare} from './snoot.js';

/** What a light gives a patch of the wall that the camera sees. */
export type PatchLight = {
  /** Level against the light's own output at one metre straight on, EV: inverse square, angle on the wall, power, losses. */
  ev: number;
  /** Part of the snoot's light that reaches it, 0 to 1; 1 for a bare flash. */
  share: number;
};

/**
 * Light of a flash on the wall at a place of the picture, without the snoot's share and without what the sitter shades.
 * @param at fractions of the frame
 * @returns null where the light can't stand as the rig says, or the patch faces away from it
 */
export const lightOnPatch = (rig: Rig, light: FlashLight, at: {x: number; y: number}): PatchLight | null => {
  if (!standsPossible(rig, light)) return null;
  const point = wallSeenAt(rig, at);
  const stance = stanceOf(rig, light);
  const away = {x: point.x - stance.at.x, y: point.y - stance.at.y, z: point.z - light.heightMetres};
  const far = Math.hypot(away.x, away.y, away.z);
  const into = point.wall === 'back wall' ? away.y : point.wall === 'left wall' ? -away.x : away.x;
  if (far < 0.01 || into <= 0) return null;
  const {alongMetres, offMetres} = alongBeam(rig, light, point);
  return {
    ev: Math.log2((light.power * (into / far)) / (far * far)) + manyStops(light.pops) - modifierLossStops(light),
    share: light.snoot ? snootShare(light.snoot, alongMetres, offMetres) : 1,
  };
};

/**
 * How a patch of the wall changes when a light is set, moved or turned, EV; −Infinity when the patch then lies outside
 * its beam. Where the beam should not have reached the patch before (stray light), the snoot's share is left out.
 * @returns null where it can't be worked out
 */
export const patchChangeEv = (
  rig: Rig,
  before: FlashLight,
  after: FlashLight,
  at: {x: number; y: number},
): number | null => {
  const was = lightOnPatch(rig, before, at);
  const is = lightOnPatch(rig, after, at);
  if (!was || !is) return null;
  return is.ev - was.ev + (was.share === 0 ? 0 : Math.log2(is.share / was.share));
};
