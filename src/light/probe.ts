import type {Exposure} from '../../shared/exposure.js';
import {levelEv} from '../../shared/level.js';
import {EQUAL_WITHIN_STOPS, equivalentExposures, type Offers} from './equivalent.js';
import {ev100, stopsBetween} from './exposure.js';
import {LightFault} from './fault.js';
import {nominalIsos, nominalShutters} from './nominal.js';
import {printLevel} from './words.js';

/** What a probe may use: time and ISO. The aperture stays, so that the lens's own fall-off stays. */
export type ProbeOffers = Pick<Offers, 'shutterSeconds' | 'isos'>;

/** Where the camera doesn't say: marked times, and ISO up to 3200, which every camera of our day records cleanly. */
export const usualProbeOffers: ProbeOffers = {
  shutterSeconds: nominalShutters().map(value => value.marked),
  isos: nominalIsos()
    .map(value => value.marked)
    .filter(iso => iso <= 3200),
};

/** A short frame that shows what the room would leave in the long one. */
export type Probe = {
  exposure: Exposure;
  /** How much brighter than the long exposure it records the room, EV (marked values are rounded). */
  errorEv: number;
  /** How many times shorter it is. */
  timesFaster: number;
};

/**
 * The fastest exposure among what the camera offers that records the room like the long one: 8 s at ISO 100 is ¼ s at
 * ISO 3200.
 * @throws LightFault when the camera offers no equal exposure
 */
export const planProbe = (long: Exposure, offers: ProbeOffers = usualProbeOffers): Probe => {
  const equal = equivalentExposures(long, {...offers, fNumbers: [long.fNumber]}, EQUAL_WITHIN_STOPS)[0];
  if (!equal) {
    throw new LightFault(
      'The camera offers no shorter exposure that equals this one; measure the room with a light meter instead.',
    );
  }
  const {exposure, errorEv} = equal;
  return {exposure, errorEv, timesFaster: long.shutterSeconds / exposure.shutterSeconds};
};

/**
 * Level of half a code value of an 8-bit sRGB picture, EV around middle grey: the rounding of a JPEG alone hides as much.
 * Computed: 0.5/255 through the linear part of IEC 61966-2-1.
 */
export const HALF_CODE_EV = levelEv(0.5 / 255 / 12.92);

/** What a probe says of the room in the long exposure. */
export type RoomFromProbe = {
  /** EV around middle grey in the long exposure; an upper bound where `darkerThan` is set. */
  levelEv: number;
  darkerThan: boolean;
  /** How far the true level may lie from it, EV; null for a bound. */
  uncertaintyEv: number | null;
  /** The room's light as EV at ISO 100; a bound as well where `darkerThan` is set. */
  roomEv100: number;
  say: string;
};

/**
 * Turns a probe's reading into the level of the long exposure. The reading holds the room and the camera's own noise;
 * what is not clearly above the noise floor is only known to be darker than twice that floor.
 * @param measuredEv level of the wall on the probe, EV around middle grey; −Infinity for pure black
 * @param probe exposure of the probe
 * @param long the exposure it stands for
 * @param floorEv level of the probe's own noise (a frame with the lens covered), EV; at least half a code of the file
 */
export const roomFromProbe = (
  measuredEv: number,
  probe: Exposure,
  long: Exposure,
  floorEv: number = HALF_CODE_EV,
): RoomFromProbe => {
  const toLongEv = stopsBetween(probe, long);
  const floor = 2 ** Math.max(floorEv, HALF_CODE_EV);
  const measured = 2 ** measuredEv;
  const darkerThan = !(measured > 2 * floor);
  // Noise adds to the mean of what can't be below zero: take it off, and say how much that could be wrong.
  const level = darkerThan ? Math.log2(2 * floor) : Math.log2(measured - floor / 2);
  const longLevel = level + toLongEv;
  const uncertaintyEv = darkerThan ? null : Math.log2(measured / (measured - floor));
  return {
    levelEv: longLevel,
    darkerThan,
    uncertaintyEv,
    roomEv100: longLevel + ev100(long),
    say: darkerThan
      ? `The room is darker than ${printLevel(longLevel)}: the probe shows no more than the camera's own noise.`
      : `The room falls to ${printLevel(longLevel)} in the long exposure.`,
  };
};
