import type {Check, Measurement} from '../../../shared/reading.js';
import type {FlashLight, Rig} from '../../../shared/rig.js';
import {patchChangeEv} from '../../light/patch.js';
import {nearestPower, powerAtDistance, printPower} from '../../light/power.js';
import {turnOffWall} from '../../light/turn.js';
import {printChange, printDistance, printLevel, printPercent} from '../../light/words.js';
import {limitOf, limitRules, stateAgainst} from '../limits.js';
import {wallAt} from '../sides.js';
import {
  type Candidate,
  changePower,
  effect,
  faceSide,
  type Ground,
  lightOf,
  NEAREST_METRES,
  troubled,
  worthOf,
} from './candidate.js';

type Patch = Measurement['spill'][number];

/** Level of a patch when the light that makes part of it changes by so many EV. */
const patchAfter = (patch: Patch, changeEv: number): number =>
  patch.levelEv + Math.log2(Math.max(1 - patch.share + patch.share * 2 ** changeEv, 1e-6));

const shareWords = (patch: Patch, wall: string): string =>
  `its light is ${printPercent(patch.share)} of that patch on ${wall}`;

/** The least change of power, in thirds to three stops down, that takes the patch to a level. */
const stopsDown = (patch: Patch, fineEv: number): number => {
  for (let thirds = 1; thirds < 9; thirds++) {
    if (patchAfter(patch, -thirds / 3) <= fineEv) return -thirds / 3;
  }
  return -3;
};

const lower = (ground: Ground, check: Check, patch: Patch, fineEv: number, wall: string): Candidate => {
  const light = lightOf(ground, patch.light);
  const stops = stopsDown(patch, fineEv);
  const side = light ? faceSide(light) : 'face';
  const {levelEv} = ground.input.measurement.face;
  const faceSuffers =
    levelEv !== null && stateAgainst(ground.input.limits, 'face level low', levelEv + stops) !== 'ok' ? 6 : 0;
  return {
    do: changePower(patch.light, light, stops),
    because: `wall ${printLevel(patchAfter(patch, stops))}, ${effect(side, stops)}; ${shareWords(patch, wall)}`,
    worth: worthOf(check, 32 - faceSuffers),
  };
};

/** A light nearer to the face by so much, at the power of its dial that keeps the face. */
const movedTo = (light: FlashLight, metres: number): FlashLight => ({
  ...light,
  distanceMetres: metres,
  power: nearestPower(powerAtDistance(light.power, light.distanceMetres, metres)),
});

const moveCloser = (rig: Rig, light: FlashLight, check: Check, patch: Patch, neededEv: number): Candidate | null => {
  const places = handPlaces(light.distanceMetres).map(metres => {
    const nearer = movedTo(light, metres);
    return {nearer, wallEv: patchChangeEv(rig, light, nearer, patch.at)};
  });
  const useful = places.filter((place): place is {nearer: FlashLight; wallEv: number} => (place.wallEv ?? 0) <= -0.3);
  const enough = useful.find(({wallEv}) => -wallEv >= neededEv);
  const chosen = enough ?? useful.at(-1);
  if (!chosen) return null;
  const {nearer, wallEv} = chosen;
  return {
    do: `move ${light.id} from ${printDistance(light.distanceMetres)} to ${printDistance(nearer.distanceMetres)} and set it to ${printPower(nearer.power)}`,
    because: `the face stays as it is, wall ${printLevel(patchAfter(patch, wallEv))} instead of ${printLevel(patch.levelEv)}`,
    worth: worthOf(check, enough ? 30 : 20),
  };
};

/** Nearer distances that a hand can place, in steps of 5 cm, down to the nearest that is advised. */
const handPlaces = (fromMetres: number): number[] => {
  const places: number[] = [];
  for (let twentieths = Math.ceil(fromMetres * 20) - 1; twentieths >= NEAREST_METRES * 20; twentieths--) {
    places.push(twentieths / 20);
  }
  return places;
};

const turn = (rig: Rig, light: FlashLight, check: Check, patch: Patch, neededEv: number): Candidate | null => {
  const turned = turnOffWall(rig, light, patch.at, neededEv);
  if (turned.kind === 'none') return null;
  if (turned.kind === 'stray') {
    return {
      do: `look for a gap in ${light.id}'s snoot, and for its light coming back from another wall`,
      because: `its beam, as the rig has it, should not reach that patch of the wall`,
      worth: worthOf(check, 24),
    };
  }
  const {turnDegrees, towardsCamera, wallEv, headEv} = turned.effect;
  const head = headEv > -0.1 ? 'the head stays in its full spot' : `the far side of the head ${printChange(headEv)}`;
  return {
    do: `turn ${light.id} ${turnDegrees}° ${towardsCamera ? 'towards' : 'away from'} the camera`,
    because: `wall ${printLevel(patchAfter(patch, wallEv))} instead of ${printLevel(patch.levelEv)}; ${head}`,
    worth: worthOf(check, headEv > -0.1 ? 33 : 26),
  };
};

/** Ways to take a flash's light off the wall: less power, nearer at the same light on the face, or turned away. */
export const spillAdvice = (ground: Ground): Candidate[] =>
  ground.input.measurement.spill.flatMap((patch): Candidate[] => {
    const check = troubled(ground, `spill ${patch.light}`);
    if (!check) return [];
    const fine = limitOf(ground.input.limits, 'spill') - limitRules.spill.watchBand;
    const neededEv = Math.max(patch.levelEv - fine, 1 / 3);
    const wall = wallAt(patch.at, ground.input.zones ?? null);
    const light = lightOf(ground, patch.light);
    const {rig} = ground.input;
    const ways = [lower(ground, check, patch, fine, wall)];
    if (rig && light) {
      const others = [moveCloser(rig, light, check, patch, neededEv), turn(rig, light, check, patch, neededEv)];
      ways.push(...others.filter(way => way !== null));
    } else {
      ways.push({
        do: `turn ${patch.light} away from ${wall}, or flag it on that side`,
        because: shareWords(patch, wall),
        worth: worthOf(check, 28),
      });
    }
    return ways;
  });
