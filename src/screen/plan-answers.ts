import type {Exposure} from '../../shared/exposure.js';
import {printAperture, printIso} from '../../shared/exposure.js';
import type {FlashLight} from '../../shared/rig.js';
import {describeRoom} from '../light/darkness.js';
import {ev100, flashStopsBetween, stopsBetween} from '../light/exposure.js';
import {LightFault} from '../light/fault.js';
import {distanceFactor, flashLevelEv, fNumberAt, modifierLossStops} from '../light/flash.js';
import {flashCautions, popsSeconds} from '../light/flash-care.js';
import {depthAroundMark, depthOfField} from '../light/focus.js';
import {kelvinThrough} from '../light/gel.js';
import {type WallName, wallHit} from '../light/geometry.js';
import {trailLevelEv} from '../light/painting.js';
import {printAngle, printSpot} from '../light/rig-words.js';
import {roomLevelEv} from '../light/room.js';
import {wallAgainstFaceEv} from '../light/spill.js';
import {spotOnFace, swayMargin} from '../light/sway.js';
import {
  printChange,
  printDistance,
  printKelvin,
  printLevel,
  printNumber,
  printSeconds,
  printSmall,
} from '../light/words.js';
import {cellsOf} from './lines.js';
import {plain} from './plain.js';
import type {PlanField} from './ui/plan-field.js';
import type {Draft} from './ui/state.js';
import {ev100Said} from './words.js';

/* What the Plan answers beside each value: computed by src/light, said here. */

/** One answer in one or more wordings, the fullest first: the first that fits is written beside its value. */
type Wordings = readonly string[];

const roomSaid = (plan: Draft): Wordings => {
  if (plan.roomEv100 === null) return ['by a light meter or the probe; → says EV −4'];
  const level = roomLevelEv(plan.roomEv100, plan.exposure);
  const words = describeRoom(level);
  return [words, words.split(/[;:]/)[0]!].map(what => `falls to ${printLevel(level)}: ${what}`);
};

const spotSaid = (light: FlashLight): Wordings => {
  if (!light.snoot) return ['no snoot: it lights everything'];
  const spot = spotOnFace(light);
  if (!spot) return [];
  if (spot.fullMetres === null) {
    const soft = `spot ${printSmall(spot.outerMetres)}, soft all over`;
    return [`${soft}: no point sees the whole flash`, soft];
  }
  const size = `spot ${printSmall(spot.fullMetres)}`;
  const margin = swayMargin(spot.fullMetres, light.angleDegrees);
  const holds = margin.covers === 'spot holds the face' ? 'holds the face' : 'lies on the face';
  const sways = (sideways: string, toAndFro: string): string =>
    [
      margin.sidewaysMetres === null ? '' : `${printSmall(margin.sidewaysMetres)} ${sideways}`,
      margin.toAndFroMetres === null ? '' : `${printSmall(margin.toAndFroMetres)} ${toAndFro}`,
    ]
      .filter(part => part !== '')
      .join(', ');
  return [
    `${size} ${holds}; you may sway ${sways('sideways', 'to and fro')}`,
    `${size}; sway ${sways('sideways', 'to and fro')}`,
    `${size}; sway ${sways('aside', 'in depth')}`,
  ];
};

/** How far the sitter may be off the mark and still be sharp. */
const sharpSaid = (plan: Draft): Wordings => {
  const {lens, mark} = plan.rig;
  const depth = depthOfField({...lens, fNumber: plan.exposure.fNumber}, mark.cameraDistanceMetres);
  const {frontCentimetres, behindCentimetres} = depthAroundMark(depth, mark.cameraDistanceMetres);
  const front = Math.round(frontCentimetres);
  if (behindCentimetres === null) return [`sharp from ${front} cm before the mark to infinity`];
  const behind = Math.round(behindCentimetres);
  return [
    `sharp from ${front} cm before the mark to ${behind} cm behind it`,
    `sharp ${front} cm before to ${behind} cm behind the mark`,
  ];
};

/** What src/light answers, or its sentence about a rig that can't stand like this. */
const orFault = (answer: () => Wordings): Wordings => {
  try {
    return answer();
  } catch (error) {
    if (error instanceof LightFault) return [error.message, 'this cannot stand like that'];
    throw error;
  }
};

/** Where the beam goes on beyond the face. */
const beyondSaid = (light: FlashLight, {rig}: Draft): Wordings => {
  const hit = wallHit(rig, light);
  if (!hit) return ['meets no wall near'];
  const level = printChange(wallAgainstFaceEv(light, hit));
  return [`meets the ${hit.wall} at ${level} against the face`, `meets the ${hit.wall} at ${level}`];
};

/** Which lights strike a wall, beyond the face. */
const wallSaid = (wall: WallName, {rig}: Draft): string =>
  rig.lights
    .filter(light => light.on)
    .flatMap(light => {
      const hit = wallHit(rig, light);
      return hit?.wall === wall ? [`${light.id} at ${printChange(wallAgainstFaceEv(light, hit))}`] : [];
    })
    .join(', ')
    .replace(/.+/, 'against the face it gets $&');

const heightSaid = (light: FlashLight, {rig}: Draft): string => {
  const rise = light.heightMetres - rig.mark.eyeHeightMetres;
  if (Math.abs(rise) < 0.005) return 'level with the eyes';
  return `${printDistance(Math.abs(rise))} ${rise > 0 ? 'above' : 'below'} the eyes`;
};

const aimSaid = (light: FlashLight, plan: Draft): Wordings => {
  const {aimOffDegrees: off} = light;
  const beyond = beyondSaid(light, plan);
  if (off === 0) return beyond;
  const side = off > 0 ? 'right' : 'left';
  return [`to the ${side} of the face in the picture; ${beyond[0]}`, `${side} of the face; ${beyond.at(-1)}`];
};

const popsSaid = (light: FlashLight, plan: Draft): Wordings => {
  const [caution] = flashCautions(light, plan.exposure.shutterSeconds, 0);
  return caution === undefined
    ? []
    : [caution, `${printNumber(popsSeconds(light), 1)} s from the first pop to the last`];
};

const colourSaid = (light: FlashLight): string =>
  `${printKelvin(kelvinThrough(light.kelvin, light.gel?.miredShift ?? 0))}, ${printNumber(modifierLossStops(light), 1)} stops lost in gel and snoot`;

const lightSaid = (light: FlashLight, plan: Draft, what: string): Wordings => {
  if (what === 'on') return [plain(light.name, 80)];
  if (!light.on) return [];
  switch (what) {
    case 'power':
      return [`${printChange(flashLevelEv(light, plan.exposure))} on the face`];
    case 'angle':
      return [printAngle(light.angleDegrees)];
    case 'height':
      return [heightSaid(light, plan)];
    case 'aim':
      return aimSaid(light, plan);
    case 'zoom':
      return ['the guide number above is the one at this zoom'];
    case 'guide':
      return [
        `${printAperture(fNumberAt(light.guideNumberMetres, light.distanceMetres))} at full power and ISO 100, bare`,
      ];
    case 'pops':
      return popsSaid(light, plan);
    case 'distance':
    case 'snoot':
      return spotSaid(light);
    case 'tube':
    case 'exit':
      return [printSpot({light, spot: spotOnFace(light)})];
    default:
      return [colourSaid(light)];
  }
};

const answered = (field: PlanField, plan: Draft): Wordings => {
  const light = plan.rig.lights.find(candidate => candidate.id === field.light);
  if (light) return lightSaid(light, plan, field.id.slice(2));
  switch (field.id) {
    case 'time':
      return [`with these three, ${ev100Said(ev100(plan.exposure))} comes out middle grey`];
    case 'aperture':
      return sharpSaid(plan);
    case 'iso':
      return [`the trail falls at ${printLevel(trailLevelEv(plan.rig.painting, plan.exposure))}`];
    case 'room':
      return roomSaid(plan);
    case 'camera':
    case 'lens':
      return sharpSaid(plan);
    case 'back wall':
    case 'left wall':
    case 'right wall':
      return [wallSaid(field.id, plan)];
    case 'trail': {
      const at = `at ${printAperture(plan.rig.painting.atFNumber)} ${printIso(plan.rig.painting.atIso)}`;
      return [`of the ${plain(plan.rig.painting.name, 40)} ${at}`, at];
    }
    default:
      return [];
  }
};

/**
 * What follows from one value of the Plan, in a line; empty where nothing does.
 * @param columns cells that there are: of its wordings the fullest that fits, or else the shortest
 */
export const answerTo = (field: PlanField, plan: Draft, columns = Number.POSITIVE_INFINITY): string => {
  const wordings = orFault(() => answered(field, plan));
  return wordings.find(wording => cellsOf(wording) <= columns) ?? wordings.at(-1) ?? '';
};

const changedSettings = (exposure: Exposure, other: Exposure): string =>
  [
    exposure.shutterSeconds !== other.shutterSeconds ? printSeconds(exposure.shutterSeconds) : '',
    exposure.fNumber !== other.fNumber ? printAperture(exposure.fNumber) : '',
    exposure.iso !== other.iso ? printIso(exposure.iso) : '',
  ]
    .filter(part => part !== '')
    .join(' ');

/** What a change of the exposure costs; empty when there is none. */
export const costOf = (from: Exposure, to: Exposure): string => {
  const settings = changedSettings(from, to);
  if (settings === '') return '';
  const roomEv = stopsBetween(from, to);
  const flashEv = flashStopsBetween(from, to);
  const keep =
    Math.abs(flashEv) < 0.005
      ? 'the flashes stay'
      : `flashes and trail ${printChange(flashEv, 2)}; ${printChange(-flashEv, 2)} of power or ${printNumber(distanceFactor(-flashEv), 2)}× the distance holds the face`;
  return `${settings} → ${changedSettings(to, from)}: the room ${printChange(roomEv, 2)}, ${keep}`;
};
