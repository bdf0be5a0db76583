import type {FlashLight, Rig} from '../../shared/rig.js';
import {type WallHit, wallHit} from './geometry.js';
import {snootSpot} from './snoot.js';

/** Half the breadth of a grown person's head, metres. From memory. */
export const HEAD_HALF_BREADTH_METRES = 0.08;

/** What turning a snooted light does. */
export type TurnEffect = {
  /** New aim off the face, degrees, in the rig's sense (positive: towards the right of the picture). */
  aimOffDegrees: number;
  turnDegrees: number;
  /** Whether it turns towards the camera's side of the room. */
  towardsCamera: boolean;
  /** Whether the whole head stays in the fully lit spot. */
  headStaysLit: boolean;
  /** Where the beam then goes; null when it strikes no wall that the rig knows. */
  hit: WallHit | null;
};

/** Free way for a head in the fully lit spot, from the middle of the beam to one side, metres; negative if it doesn't fit. */
const freeWay = (light: FlashLight): number | null => {
  if (!light.snoot) return null;
  const throwMetres = light.distanceMetres - light.snoot.tubeMillimetres / 1000;
  if (throwMetres <= 0) return null;
  const {fullMetres} = snootSpot(light.snoot, throwMetres);
  return (fullMetres ?? 0) / 2 - HEAD_HALF_BREADTH_METRES;
};

/**
 * The smallest turn, in steps of 5° to 30° either way, after which the middle of a snooted light's beam strikes no
 * wall in the picture. Prefers a turn that keeps the head in the fully lit spot.
 * @returns null without a snoot, when the beam is out of the picture already, or when no such turn does it
 */
export const turnOutOfPicture = (rig: Rig, light: FlashLight): TurnEffect | null => {
  const free = freeWay(light);
  const before = wallHit(rig, light);
  if (free === null || before === null || Math.abs(before.acrossPicture) > 1) return null;
  const turns: TurnEffect[] = [];
  for (let degrees = 5; degrees <= 30; degrees += 5) {
    for (const turnDegrees of [degrees, -degrees]) {
      const aimOffDegrees = light.aimOffDegrees + turnDegrees;
      const hit = wallHit(rig, {...light, aimOffDegrees});
      if (hit && Math.abs(hit.acrossPicture) <= 1) continue;
      const aside = Math.tan((Math.abs(aimOffDegrees) * Math.PI) / 180) * light.distanceMetres;
      turns.push({
        aimOffDegrees,
        turnDegrees: Math.abs(turnDegrees),
        towardsCamera: hit === null || hit.at.y < before.at.y,
        headStaysLit: aside <= free,
        hit,
      });
    }
  }
  return turns.find(turn => turn.headStaysLit) ?? turns[0] ?? null;
};
