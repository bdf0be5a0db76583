import {plainText} from '../../shared/plain-text.js';
import type {FlashLight} from '../../shared/rig.js';
import {kelvinThrough} from './gel.js';
import {printPower} from './power.js';
import type {DrawnLight} from './set-plan.js';
import {printDistance, printKelvin, printNumber, printSmall} from './words.js';

/**
 * The way to a light, counted from the camera's side and as one stands at the camera: "48° to the left", "straight from
 * the camera", "112° to the right, from behind".
 */
export const printAngle = (degrees: number): string => {
  const amount = Math.round(Math.abs(degrees));
  const side = degrees < 0 ? 'left' : 'right';
  if (amount === 0) return 'straight from the camera';
  if (amount >= 179) return 'straight from behind';
  return `${amount}° to the ${side}${amount > 90 ? ', from behind' : ''}`;
};

/** The spot on the face: "spot 24 cm, soft edge 24 cm", or that no point sees the whole source. */
export const printSpot = ({spot, light}: Pick<DrawnLight, 'spot' | 'light'>, feet = false): string => {
  if (!light.snoot) return 'no snoot';
  if (!spot) return 'snoot longer than the distance';
  if (spot.fullMetres === null)
    return `spot ${printSmall(spot.outerMetres, feet)}, no point of it sees the whole source`;
  return `spot ${printSmall(spot.fullMetres, feet)}, soft edge ${printSmall(spot.penumbraMetres, feet)}`;
};

const kelvinOf = (light: FlashLight): number | null => {
  if (!light.gel) return light.kelvin;
  return 1e6 / light.kelvin + light.gel.miredShift > 0 ? kelvinThrough(light.kelvin, light.gel.miredShift) : null;
};

/** What a light is, in short facts, from the most needed on. */
export const lightFacts = (drawn: DrawnLight, feet = false): string[] => {
  const {light} = drawn;
  const kelvin = kelvinOf(light);
  return [
    `${printDistance(light.distanceMetres, feet)}, ${printAngle(light.angleDegrees)}`,
    `${printDistance(light.heightMetres, feet)} high`,
    `${printPower(light.power)}${light.pops > 1 ? ` × ${light.pops}` : ''}`,
    printSpot(drawn, feet),
    ...(light.gel ? [`${plainText(light.gel.name)} gel${kelvin === null ? '' : `, ${printKelvin(kelvin)}`}`] : []),
    ...(light.aimOffDegrees === 0
      ? []
      : [
          `aimed ${printNumber(Math.abs(light.aimOffDegrees), 0)}° ${light.aimOffDegrees > 0 ? 'right' : 'left'} of the face`,
        ]),
    ...(drawn.wall && drawn.wallMetres !== null
      ? [`goes on to the ${drawn.wall}, ${printDistance(drawn.wallMetres, feet)}`]
      : []),
    ...(light.on ? [] : ['off']),
  ];
};
