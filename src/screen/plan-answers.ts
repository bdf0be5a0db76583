import type {Exposure} from '../../shared/exposure.js';
import {printAperture, printIso} from '../../shared/exposure.js';
import type {FlashLight} from '../../shared/rig.js';
import {describeRoom} from '../light/darkness.js';
import {ev100, flashStopsBetween, stopsBetween} from '../light/exposure.js';
import {LightFault} from '../light/fault.js';
import {distanceFactor, flashLevelEv, fNumberAt, modifierLossStops} from '../light/flash.js';
import {flashCautions} from '../light/flash-care.js';
import {depthAroundMark, depthOfField} from '../light/focus.js';
import {kelvinThrough} from '../light/gel.js';
import {type WallName, wallHit} from '../light/geometry.js';
import {trailLevelEv} from '../light/painting.js';
import {printAngle, printSpot} from '../light/rig-words.js';
import {roomLevelEv} from '../light/room.js';
import {wallAgainstFaceEv} from '../light/spill.js';
import {spotOnFace, swayMargin} from '../light/sway.js';
import {printChange, printDistance, printKelvin, printLevel, printNumber, printSmall} from '../light/words.js';
import {plain} from './plain.js';
import type {PlanField} from './ui/plan-field.js';
import type {Draft} from './ui/state.js';
import {ev100Said, shutterSaid} from './words.js';

/* What the Plan answers beside each value: computed by src/light, said here. */

const roomSaid = (plan: Draft): string => {
  if (plan.roomEv100 === null) return 'measure it with a light meter or the probe; → says EV −4';
  const level = roomLevelEv(plan.roomEv100, plan.exposure);
  return `falls to ${printLevel(level)}: ${describeRoom(level)}`;
};

const spotSaid = (light: FlashLight): string => {
  if (!light.snoot) return 'no snoot: it lights everything';
  const spot = spotOnFace(light);
  if (!spot) return '';
  if (spot.fullMetres === null)
    return `spot ${printSmall(spot.outerMetres)}, soft all over: no point sees the whole flash`;
  const margin = swayMargin(spot.fullMetres, light.angleDegrees);
  const sways = [
    margin.sidewaysMetres === null ? '' : `${printSmall(margin.sidewaysMetres)} sideways`,
    margin.toAndFroMetres === null ? '' : `${printSmall(margin.toAndFroMetres)} to and fro`,
  ].filter(part => part !== '');
  const holds = margin.covers === 'spot holds the face' ? 'holds the face' : 'lies on the face';
  return `spot ${printSmall(spot.fullMetres)} ${holds}; you may sway ${sways.join(', ')}`;
};

/** How far the sitter may be off the mark and still be sharp. */
const sharpSaid = (plan: Draft): string => {
  const {lens, mark} = plan.rig;
  const depth = depthOfField({...lens, fNumber: plan.exposure.fNumber}, mark.cameraDistanceMetres);
  const {frontCentimetres, behindCentimetres} = depthAroundMark(depth, mark.cameraDistanceMetres);
  const behind = behindCentimetres === null ? 'everything behind it' : `${Math.round(behindCentimetres)} cm behind it`;
  return `sharp from ${Math.round(frontCentimetres)} cm before the mark to ${behind}`;
};

/** What src/light answers, or its sentence about a rig that can't stand like this. */
const orFault = (answer: () => string): string => {
  try {
    return answer();
  } catch (error) {
    if (error instanceof LightFault) return error.message;
    throw error;
  }
};

/** Where the beam goes on beyond the face. */
const beyondSaid = (light: FlashLight, {rig}: Draft): string => {
  const hit = wallHit(rig, light);
  return hit
    ? `meets the ${hit.wall} at ${printChange(wallAgainstFaceEv(light, hit))} against the face`
    : 'meets no wall near';
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

const aimSaid = (light: FlashLight, plan: Draft): string => {
  const {aimOffDegrees: off} = light;
  const turned = off === 0 ? '' : `to the ${off > 0 ? 'right' : 'left'} of the face in the picture; `;
  return `${turned}${beyondSaid(light, plan)}`;
};

const colourSaid = (light: FlashLight): string =>
  `${printKelvin(kelvinThrough(light.kelvin, light.gel?.miredShift ?? 0))}, ${printNumber(modifierLossStops(light), 1)} stops lost in gel and snoot`;

const lightSaid = (light: FlashLight, plan: Draft, what: string): string => {
  if (what === 'on') return plain(light.name, 80);
  if (!light.on) return '';
  switch (what) {
    case 'power':
      return `${printChange(flashLevelEv(light, plan.exposure))} on the face`;
    case 'angle':
      return `${printAngle(light.angleDegrees)}`;
    case 'height':
      return heightSaid(light, plan);
    case 'aim':
      return aimSaid(light, plan);
    case 'guide':
      return `${printAperture(fNumberAt(light.guideNumberMetres, light.distanceMetres))} at full power and ISO 100, bare`;
    case 'pops':
      return flashCautions(light, plan.exposure.shutterSeconds, 0)[0] ?? '';
    case 'distance':
    case 'snoot':
      return spotSaid(light);
    case 'tube':
    case 'exit':
      return printSpot({light, spot: spotOnFace(light)});
    default:
      return colourSaid(light);
  }
};

/** What follows from one value of the Plan, in a line; empty where nothing does. */
export const answerTo = (field: PlanField, plan: Draft): string => orFault(() => answered(field, plan));

const answered = (field: PlanField, plan: Draft): string => {
  const light = plan.rig.lights.find(candidate => candidate.id === field.light);
  if (light) return lightSaid(light, plan, field.id.slice(2));
  switch (field.id) {
    case 'time':
      return `with these three, ${ev100Said(ev100(plan.exposure))} comes out middle grey`;
    case 'aperture':
      return sharpSaid(plan);
    case 'iso':
      return `the trail falls at ${printLevel(trailLevelEv(plan.rig.painting, plan.exposure))}`;
    case 'room':
      return roomSaid(plan);
    case 'camera':
    case 'lens':
      return sharpSaid(plan);
    case 'back wall':
    case 'left wall':
    case 'right wall':
      return wallSaid(field.id, plan);
    case 'trail':
      return `of the ${plain(plan.rig.painting.name, 40)} at ${printAperture(plan.rig.painting.atFNumber)} ${printIso(plan.rig.painting.atIso)}`;
    default:
      return '';
  }
};

const changedSettings = (exposure: Exposure, other: Exposure): string =>
  [
    exposure.shutterSeconds !== other.shutterSeconds ? shutterSaid(exposure.shutterSeconds) : '',
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
