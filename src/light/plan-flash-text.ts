import type {Exposure} from '../../shared/exposure.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import {flashCautions} from './flash-care.js';
import {whiteBalanceFor} from './gel.js';
import {wallHit} from './geometry.js';
import type {PlanReport} from './plan-schema.js';
import {holdFlash, nearestPower, printPower} from './power.js';
import {moveLight, wallAgainstFaceEv} from './spill.js';
import {spotOnFace, swayMargin} from './sway.js';
import {printChange, printDistance, printKelvin, printLevel, printNumber, printSmall} from './words.js';

/*
 * What a plan says of one flash.
 */

type Flash = PlanReport['flashes'][number];

const spotLines = (light: FlashLight, feet: boolean): string[] => {
  const spot = spotOnFace(light);
  if (!spot) return [];
  if (spot.fullMetres === null) {
    return [
      'No point of the face sees the whole source through this snoot: the level is less than worked out, and does not follow the inverse square. Trust the plate.',
    ];
  }
  const sway = swayMargin(spot.fullMetres, light.angleDegrees);
  const margins = [
    ...(sway.sidewaysMetres === null ? [] : [`${printSmall(sway.sidewaysMetres, feet)} sideways`]),
    ...(sway.toAndFroMetres === null ? [] : [`${printSmall(sway.toAndFroMetres, feet)} to and fro`]),
  ];
  const until = sway.covers === 'spot holds the face' ? 'before your face leaves it' : 'before it leaves your face';
  return [
    `Spot on the face ${printSmall(spot.fullMetres, feet)} with a soft edge of ${printSmall(spot.penumbraMetres, feet)}; you may sway ${margins.join(' or ')} ${until}.`,
  ];
};

/** Nearer than this a light is not proposed: it would stand in the picture and in the eyes. */
const NEAREST_METRES = 0.6;

const wallLines = (rig: Rig, light: FlashLight, feet: boolean): string[] => {
  const hit = wallHit(rig, light);
  if (!hit) return [];
  const nearer = Math.round(light.distanceMetres * 0.75 * 20) / 20;
  const moved = nearer >= NEAREST_METRES ? moveLight(rig, light, nearer) : null;
  const move = moved
    ? `; at ${printDistance(nearer, feet)} and ${printPower(nearestPower(moved.power))} the face stays and the wall gets ${printNumber(-moved.wallEv, 1)} EV darker`
    : '';
  return [
    `What passes the face meets the ${hit.wall} after ${printDistance(hit.distanceMetres, feet)} at ${printChange(wallAgainstFaceEv(light, hit))} against the face${move}.`,
  ];
};

/** Lines about one flash: level, power, colour; with the rig, also spot, sway, wall and cautions. */
export const flashLines = (flash: Flash, rig: Rig | null, exposure: Exposure, feet: boolean): string[] => {
  const light = rig?.lights.find(each => each.id === flash.id);
  const from = light ? ` from ${printDistance(light.distanceMetres, feet)}` : '';
  const asIs = Math.abs(Math.log2(nearestPower(flash.power) / flash.suggestedPower)) < 1e-6;
  const step = asIs
    ? 'as near to middle grey as its steps come'
    : `${printPower(flash.suggestedPower)} brings it to ${printLevel(flash.leftoverEv)}`;
  const colour = flash.kelvin === null ? '' : `, ${printKelvin(flash.kelvin)}`;
  return [
    `${flash.id}  at ${printPower(flash.power)}${from} lights the face to ${printLevel(flash.levelEv)}: ${step}${colour}.`,
    ...(rig && light
      ? [
          ...spotLines(light, feet),
          ...wallLines(rig, light, feet),
          ...flashCautions(light, exposure.shutterSeconds, 0),
        ].map(line => `   ${line}`)
      : []),
  ];
};

/** Warmth that a portrait by lamplight may keep, mired over neutral: our own taste. */
const KEPT_WARMTH_MIRED = 60;

/** White balance for a light: neutral, or with some of its warmth kept. */
export const whiteBalanceLine = ({id, kelvin}: Flash): string[] =>
  kelvin === null
    ? []
    : [
        `White balance ${printKelvin(kelvin)} makes the light of ${id} neutral; ${printKelvin(whiteBalanceFor(kelvin, KEPT_WARMTH_MIRED))} keeps it ${KEPT_WARMTH_MIRED} mired warm.`,
      ];

/** What one flash does to keep the face when the settings change. */
export const holdLine = (light: FlashLight, from: Exposure, to: Exposure, feet: boolean): string => {
  const hold = holdFlash(light, from, to);
  const byPower = hold.power ? `to ${printPower(hold.power.power)}` : 'beyond its full power';
  const pops = hold.pops !== null && hold.pops > light.pops ? `, or fire ${hold.pops} times` : '';
  const rest =
    hold.power && Math.abs(hold.power.leftoverEv) >= 0.05
      ? ` (${printNumber(Math.abs(hold.power.leftoverEv), 1)} EV too ${hold.power.leftoverEv > 0 ? 'bright' : 'dark'})`
      : '';
  return `${light.id}  from ${printPower(light.power)} ${byPower}${rest}, or from ${printDistance(light.distanceMetres, feet)} to ${printDistance(hold.distanceMetres, feet)}${pops}.`;
};
