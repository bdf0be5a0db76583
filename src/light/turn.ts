import type {FlashLight, Rig} from '../../shared/rig.js';
import {alongBeam, type RoomPoint, stanceOf, standsPossible, wallSeenAt} from './geometry.js';
import {snootShare} from './snoot.js';
import {HEAD_BREADTH_METRES} from './sway.js';

/** What turning a snooted light does to a patch of the wall and to the head. */
export type TurnEffect = {
  /** New aim off the face, degrees, in the rig's sense (positive: towards the right of the picture). */
  aimOffDegrees: number;
  turnDegrees: number;
  towardsCamera: boolean;
  /** Change on the patch, EV; −Infinity when it then lies outside the beam. */
  wallEv: number;
  /** Change at the side of the head that the beam leaves first, EV, ≤ 0. */
  headEv: number;
};

/** `stray`: the beam should not reach the patch at all, so turning it is no help. */
export type Turn = {kind: 'turn'; effect: TurnEffect} | {kind: 'stray'} | {kind: 'none'};

const shareAt = (rig: Rig, light: FlashLight, point: RoomPoint): number => {
  if (!light.snoot) return 1;
  const {alongMetres, offMetres} = alongBeam(rig, light, point);
  return snootShare(light.snoot, alongMetres, offMetres);
};

/** Share of the beam at the side of the head that gets least of it. */
const shareAtHead = (rig: Rig, light: FlashLight): number => {
  const {aim} = stanceOf(rig, {...light, aimOffDegrees: 0});
  const sides = [-HEAD_BREADTH_METRES / 2, HEAD_BREADTH_METRES / 2].map(across => ({
    x: aim.y * across,
    y: -aim.x * across,
    z: rig.mark.eyeHeightMetres,
  }));
  return Math.min(...sides.map(side => shareAt(rig, light, side)));
};

/**
 * The smallest turn, in steps of 5° to 30° either way, that darkens a patch of the wall by so many EV; the one that
 * leaves the head its light before one that doesn't.
 * @param at where the patch lies in the picture, fractions of the frame
 * @param neededEv how much darker, > 0
 */
export const turnOffWall = (rig: Rig, light: FlashLight, at: {x: number; y: number}, neededEv: number): Turn => {
  if (!light.snoot || !standsPossible(rig, light)) return {kind: 'none'};
  const patch = wallSeenAt(rig, at);
  const before = shareAt(rig, light, patch);
  if (before === 0) return {kind: 'stray'};
  const headBefore = shareAtHead(rig, light);
  if (headBefore === 0) return {kind: 'none'};
  const effects: TurnEffect[] = [];
  for (let degrees = 5; degrees <= 30; degrees += 5) {
    for (const turned of [degrees, -degrees]) {
      const next = {...light, aimOffDegrees: light.aimOffDegrees + turned};
      const wallEv = Math.log2(shareAt(rig, next, patch) / before);
      if (-wallEv < neededEv) continue;
      effects.push({
        aimOffDegrees: next.aimOffDegrees,
        turnDegrees: degrees,
        towardsCamera: stanceOf(rig, next).aim.y < stanceOf(rig, light).aim.y,
        wallEv,
        headEv: Math.min(0, Math.log2(shareAtHead(rig, next) / headBefore)),
      });
    }
  }
  const best = effects.find(effect => effect.headEv > -0.1) ?? effects.find(effect => effect.headEv > -1);
  return best ? {kind: 'turn', effect: best} : {kind: 'none'};
};
