import type {Exposure} from '../../shared/exposure.js';
import {printAperture, printIso} from '../../shared/exposure.js';
import type {FlashLight} from '../../shared/rig.js';
import {ev100, flashStopsBetween, stopsBetween} from '../light/exposure.js';
import {distanceFactor, flashLevelEv, modifierLossStops} from '../light/flash.js';
import {kelvinThrough} from '../light/gel.js';
import {trailLevelEv} from '../light/painting.js';
import {roomLevelEv} from '../light/room.js';
import {snootSpot} from '../light/snoot.js';
import {printChange, printKelvin, printLevel, printNumber, printSmall} from '../light/words.js';
import {plain} from './plain.js';
import type {PlanField} from './ui/plan-fields.js';
import type {Draft} from './ui/state.js';
import {ev100Said, shutterSaid} from './words.js';

/* What the Plan answers beside each value: computed by src/light, said here. */

/** Where the room's grey falls when it is as good as black in an 8-bit picture (1 to 2 code values, sRGB, computed). */
const BLACK_EV = -8;
const DARK_EV = -6;

const roomSaid = (plan: Draft): string => {
  if (plan.roomEv100 === null) return 'measure it with a light meter or the probe; → says EV −4';
  const level = roomLevelEv(plan.roomEv100, plan.exposure);
  const looks = level <= BLACK_EV ? 'black' : level <= DARK_EV ? 'nearly black' : 'it will show: darken it';
  return `falls to ${printLevel(level)}: ${looks}`;
};

const spotSaid = (light: FlashLight): string => {
  if (!light.snoot) return 'no snoot: it lights everything';
  const spot = snootSpot(light.snoot, Math.max(0.05, light.distanceMetres - light.snoot.tubeMillimetres / 1000));
  const full = spot.fullMetres === null ? 'no evenly lit middle' : `${printSmall(spot.fullMetres)} fully lit`;
  return `spot ${printSmall(spot.outerMetres)}, ${full}`;
};

const lightSaid = (light: FlashLight, plan: Draft, what: string): string => {
  if (what === 'on') return plain(light.name, 80);
  if (!light.on) return '';
  if (what === 'power') return `${printChange(flashLevelEv(light, plan.exposure))} on the face`;
  if (what === 'distance') return spotSaid(light);
  const kelvin = kelvinThrough(light.kelvin, light.gel?.miredShift ?? 0);
  return `${printKelvin(kelvin)}, ${printNumber(modifierLossStops(light), 1)} stops lost in gel and snoot`;
};

/** What follows from one value of the Plan, in a line; empty where nothing does. */
export const answerTo = (field: PlanField, plan: Draft): string => {
  const light = plan.rig.lights.find(candidate => candidate.id === field.light);
  if (light) return lightSaid(light, plan, field.id.slice(2));
  switch (field.id) {
    case 'time':
      return `with these three, ${ev100Said(ev100(plan.exposure))} comes out middle grey`;
    case 'iso':
      return `the trail falls at ${printLevel(trailLevelEv(plan.rig.painting, plan.exposure))}`;
    case 'room':
      return roomSaid(plan);
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
      : `flashes and trail ${printChange(flashEv, 2)}: to hold the face, ${flashEv < 0 ? 'raise' : 'lower'} each flash by ${printNumber(Math.abs(flashEv), 2)} EV or stand it at ${printNumber(distanceFactor(-flashEv), 2)}× the distance`;
  return `${settings} → ${changedSettings(to, from)}: the room ${printChange(roomEv, 2)}, ${keep}`;
};
