import type {Check} from '../../../shared/reading.js';
import type {FlashLight} from '../../../shared/rig.js';
import {distanceFactor, flashLevelEv} from '../../light/flash.js';
import {printDistance, printPercent, printSmall, printStops} from '../../light/words.js';
import {limitOf, limitRules} from '../limits.js';
import {yourSide} from '../sides.js';
import {
  type Candidate,
  changePower,
  effect,
  faceSide,
  type Ground,
  NEAREST_METRES,
  troubled,
  upToThird,
  worthOf,
} from './candidate.js';

type Part = {light: FlashLight; share: number};

/** The flashes that fired, with each one's part of the light on the face as the rig works out, strongest first. */
const partsOfFace = ({input}: Ground): Part[] => {
  const {rig, measurement} = input;
  if (!rig) return [];
  const exposure = input.exposure ?? measurement.frame.exposure ?? {shutterSeconds: 1, fNumber: 8, iso: 100};
  const fired = rig.lights.filter(light => measurement.lights.some(each => each.id === light.id && each.fired));
  const lights = fired.length > 0 ? fired : rig.lights.filter(light => light.on);
  const linear = lights.map(light => 2 ** flashLevelEv(light, exposure));
  const sum = linear.reduce((total, value) => total + value, 0);
  return lights.map((light, index) => ({light, share: linear[index]! / sum})).sort((a, b) => b.share - a.share);
};

/** Stops that one light must change by to move the whole face by so many EV; null when it alone can't. */
const stopsForFace = (share: number, faceEv: number): number | null => {
  const factor = (2 ** faceEv - 1) / share + 1;
  return factor > 0.05 ? Math.log2(factor) : null;
};

const level = (ground: Ground, check: Check): Candidate | null => {
  if (check.value === null) return null;
  const {limits} = ground.input;
  const lowest = limitOf(limits, 'face level low') + limitRules['face level low'].watchBand;
  const highest = limitOf(limits, 'face level high') - limitRules['face level high'].watchBand;
  const wanted = check.value < lowest ? lowest - check.value : highest - check.value;
  const parts = partsOfFace(ground);
  const key = parts[0];
  const faceEv = upToThird(wanted);
  const stops = key ? stopsForFace(key.share, faceEv) : null;
  const worth = worthOf(check, 22);
  if (!key) {
    const word = faceEv > 0 ? 'raise' : 'lower';
    return {
      do: `${word} the flash that lights the face most, ${printStops(faceEv)}`,
      because: `the face is at ${check.say}`,
      worth,
    };
  }
  if (stops === null) {
    return {
      do: `lower every flash ${printStops(faceEv)}`,
      because: `the face is at ${check.say}; ${effect('the face', faceEv)}`,
      worth,
    };
  }
  const step = upToThird(stops);
  const because = `about ${effect('the face', faceEv)}: ${key.light.id} gives ${printPercent(key.share)} of its light`;
  if (key.light.power * 2 ** step <= 1.01) return {do: changePower(key.light.id, key.light, step), because, worth};
  if (parts.every(({light}) => light.power * 2 ** faceEv <= 1.01)) {
    return {do: `raise every flash ${printStops(faceEv)}`, because: effect('the face', faceEv), worth};
  }
  const metres = key.light.distanceMetres * distanceFactor(step);
  return metres >= NEAREST_METRES
    ? {
        do: `move ${key.light.id} from ${printDistance(key.light.distanceMetres)} to ${printDistance(metres)}`,
        because,
        worth,
      }
    : {
        do: `open the aperture ${printStops(faceEv)}`,
        because: `${key.light.id} has no more to give; the trail and the room gain as much`,
        worth,
      };
};

const clipped = (ground: Ground, check: Check): Candidate => {
  const key = partsOfFace(ground)[0];
  const stops = (check.value ?? 0) > 0.05 ? -1 : -2 / 3;
  return {
    do: key
      ? changePower(key.light.id, key.light, stops)
      : `lower the flash that lights the face most, ${printStops(stops)}`,
    because: `${check.say}${key ? `; ${effect(faceSide(key.light), stops)}` : ''}`,
    worth: worthOf(check, 28),
  };
};

const ratio = (ground: Ground, check: Check): Candidate | null => {
  if (check.value === null) return null;
  const fine = limitOf(ground.input.limits, 'face ratio') - limitRules['face ratio'].watchBand;
  const stops = upToThird(Math.max(Math.abs(check.value) - fine, 1 / 3));
  const darker = check.value > 0 ? 'face right' : 'face left';
  const weaker = partsOfFace(ground).find(({light}) => faceSide(light) === darker);
  const canRaise = weaker && weaker.light.power * 2 ** stops <= 1.01;
  return {
    do: canRaise
      ? changePower(weaker.light.id, weaker.light, stops)
      : `bring more light to the ${darker.slice(5)} of the picture's face`,
    because: `the halves differ too much: ${check.say}${canRaise ? `; ${effect(darker, stops)}` : ''}`,
    worth: worthOf(check, 10),
  };
};

const shift = (ground: Ground, check: Check): Candidate => {
  const {x, y} = ground.input.measurement.face.shift;
  const {rig} = ground.input;
  // The head stands to the picture's right: it must go back to the picture's left, the sitter's right.
  const back = yourSide(-x);
  const frameMetres = rig
    ? (rig.lens.sensorWidthMillimetres / rig.lens.focalMillimetres) * rig.mark.cameraDistanceMetres
    : null;
  const how = frameMetres === null ? 'a little' : printSmall(Math.abs(x) * frameMetres);
  const sideways = Math.abs(x) >= Math.abs(y);
  return {
    do: sideways
      ? `stand ${how} to your ${back}`
      : y > 0
        ? 'stand straighter on the mark'
        : 'stand lower, as on the plate',
    because: `your head is off the mark: ${check.say}`,
    worth: worthOf(check, 18),
  };
};

/** Advice on level, clipping, ratio, place, sharpness and doubling of the face. */
export const faceAdvice = (ground: Ground): Candidate[] => {
  const of = (id: string, make: (check: Check) => Candidate | null): Candidate[] => {
    const check = troubled(ground, id);
    const made = check ? make(check) : null;
    return made ? [made] : [];
  };
  return [
    ...of('face level', check => level(ground, check)),
    ...of('face clipped', check => clipped(ground, check)),
    ...of('face ratio', check => ratio(ground, check)),
    ...of('shift', check => shift(ground, check)),
    ...of('sharpness', check => ({
      do: 'hold still from the cue until after the flash; if it stays soft, focus again on the mark',
      because: `sharpness of the face: ${check.say}`,
      worth: worthOf(check, 18),
    })),
    ...of('doubled', check => ({
      do: 'hold your head still until the last pop is over, or fire only one',
      because: check.say,
      worth: worthOf(check, 40),
    })),
  ];
};
