import type {Exposure} from '../../shared/exposure.js';
import {flashStopsBetween, stopsBetween} from './exposure.js';
import {LightFault} from './fault.js';
import {nominalFNumbers, nominalIsos, nominalShutters} from './nominal.js';

/** The settings that a camera offers. */
export type Offers = {shutterSeconds: readonly number[]; fNumbers: readonly number[]; isos: readonly number[]};

/** What a camera is taken to offer where it doesn't say: the marked values in thirds, ISO up to 12800. */
export const usualOffers: Offers = {
  shutterSeconds: nominalShutters().map(value => value.marked),
  fNumbers: nominalFNumbers()
    .map(value => value.marked)
    .filter(fNumber => fNumber >= 1.4 && fNumber <= 22),
  isos: nominalIsos()
    .map(value => value.marked)
    .filter(iso => iso <= 12_800),
};

/**
 * Stops by which equal marked settings may differ: the marks are rounded, and the roundings of three settings can add
 * up to this much (computed from the marks against 2^(i/3)).
 */
export const EQUAL_WITHIN_STOPS = 0.17;

/** Another exposure that records continuous light alike, and how many stops brighter it really is. */
export type Equivalent = {exposure: Exposure; errorEv: number; flashEv: number};

/**
 * The exposures among what a camera offers that record continuous light like this one, the fastest first.
 * `flashEv` says how much brighter a flash comes out, which does not care for time.
 * @param toleranceEv largest difference, stops, ≥ 0
 */
export const equivalentExposures = (
  exposure: Exposure,
  offers: Offers = usualOffers,
  toleranceEv = EQUAL_WITHIN_STOPS,
): Equivalent[] => {
  const found: Equivalent[] = [];
  for (const fNumber of offers.fNumbers) {
    for (const iso of offers.isos) {
      for (const shutterSeconds of offers.shutterSeconds) {
        const other = {shutterSeconds, fNumber, iso};
        const errorEv = stopsBetween(exposure, other);
        if (Math.abs(errorEv) <= toleranceEv) {
          found.push({exposure: other, errorEv, flashEv: flashStopsBetween(exposure, other)});
        }
      }
    }
  }
  return found.sort(
    (a, b) => a.exposure.shutterSeconds - b.exposure.shutterSeconds || Math.abs(a.errorEv) - Math.abs(b.errorEv),
  );
};

/**
 * The exact time that keeps continuous light as it is at another aperture and ISO; beyond 30 s it is a bulb time.
 * @throws LightFault when it would be longer than a day
 */
export const timeFor = (exposure: Exposure, fNumber: number, iso: number): number => {
  const seconds = exposure.shutterSeconds * 2 ** (0 - flashStopsBetween(exposure, {...exposure, fNumber, iso}));
  if (seconds > 86_400) {
    throw new LightFault(
      `That would need an exposure of ${Math.round(seconds / 3600)} hours; open the aperture or raise the ISO.`,
    );
  }
  return seconds;
};

/** Longest time that cameras set by themselves, seconds; beyond it the shutter is held open (bulb). */
export const LONGEST_TIMED_SECONDS = 30;

/** What changes between two settings, in EV: positive is brighter. */
export type SettingsChange = {
  /** The room, and everything else that shines all the time. */
  roomEv: number;
  flashEv: number;
  /** The trail: each of its points is lit only while the light passes. */
  trailEv: number;
  /** Factor on the flash's distance that keeps its level. */
  distanceFactor: number;
};

/** What changes between two settings for each kind of light. */
export const whatChanges = (from: Exposure, to: Exposure): SettingsChange => {
  const flashEv = flashStopsBetween(from, to);
  return {roomEv: stopsBetween(from, to), flashEv, trailEv: flashEv, distanceFactor: 2 ** (flashEv / 2)};
};
