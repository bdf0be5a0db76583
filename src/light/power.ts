import type {Exposure} from '../../shared/exposure.js';
import type {FlashLight} from '../../shared/rig.js';
import {flashStopsBetween} from './exposure.js';
import {finite, positive} from './fault.js';
import {distanceFactor} from './flash.js';

/** Smallest power that flashes commonly offer, as thirds of a stop under full: 1/256 is eight stops. */
const LAST_THIRD = 24;

/** Power fractions in thirds of a stop, 1/1 to 1/256: p = 2^(−k/3), largest first. */
export const powerSteps: readonly number[] = Array.from({length: LAST_THIRD + 1}, (_, k) => 2 ** (-k / 3));

/** Index of the power step nearest in stops, 0 (full) to 24 (1/256). */
const nearestThird = (power: number): number =>
  Math.min(LAST_THIRD, Math.max(0, Math.round(-3 * Math.log2(positive('The flash power', power)))));

/** The power step nearest in stops to a fraction; stays within 1/1 to 1/256. */
export const nearestPower = (power: number): number => powerSteps[nearestThird(power)]!;

/** Power as flashes show it: "1/1", "1/8", and in thirds of a stop between "1/16 +0.3"; other fractions as "1/12". */
export const printPower = (power: number): string => {
  const thirds = -3 * Math.log2(positive('The flash power', power));
  const k = Math.round(thirds);
  if (power > 1.01) return `${Number(power.toPrecision(3))}×`;
  if (Math.abs(thirds - k) > 0.1) return `1/${Math.round(1 / power)}`;
  const whole = Math.ceil(k / 3);
  return `1/${2 ** whole}${['', ' +0.3', ' +0.7'][whole * 3 - k]}`;
};

/** A power setting, and how far the level stays from what was wanted: positive is too bright, EV. */
export type PowerChoice = {power: number; leftoverEv: number};

/**
 * The power step that brings a level nearest to the wanted one.
 * @param levelEv level at `power`, EV around middle grey
 * @param wantedEv wanted level
 */
export const suggestPower = (power: number, levelEv: number, wantedEv = 0): PowerChoice => {
  const exact = positive('The flash power', power) * 2 ** (finite('The wanted level', wantedEv) - levelEv);
  const chosen = nearestPower(exact);
  return {power: chosen, leftoverEv: Math.log2(chosen / exact)};
};

/** How one flash keeps its level on the face when the camera is set otherwise. */
export type FlashHold = {
  /** What the flash must give more (positive) or less, EV. */
  flashEv: number;
  /** By power at the same distance: the nearest step, null when more than full power would be needed. */
  power: PowerChoice | null;
  /** By distance at the same power, metres. */
  distanceMetres: number;
  /** By repeated pops at the same power: the number that comes nearest; null where less light is wanted. */
  pops: number | null;
};

/** The whole number nearest in stops. */
const nearestCount = (count: number): number =>
  Math.max(1, count / Math.floor(count) < Math.ceil(count) / count ? Math.floor(count) : Math.ceil(count));

/**
 * What a flash must do so that its level on the face stays when ISO, aperture or time change.
 * @throws LightFault
 */
export const holdFlash = (light: FlashLight, from: Exposure, to: Exposure): FlashHold => {
  const flashEv = 0 - flashStopsBetween(from, to);
  const exact = light.power * 2 ** flashEv;
  const chosen = nearestPower(exact);
  return {
    flashEv,
    power: exact > 2 ** (1 / 6) ? null : {power: chosen, leftoverEv: Math.log2(chosen / exact)},
    distanceMetres: light.distanceMetres * distanceFactor(flashEv),
    pops: flashEv > 0 ? nearestCount(light.pops * 2 ** flashEv) : null,
  };
};

/** The power that keeps the level on the face when the flash moves: p2 = p1·(d2/d1)². May exceed 1. */
export const powerAtDistance = (power: number, fromMetres: number, toMetres: number): number =>
  positive('The flash power', power) *
  (positive('The distance', toMetres, 'm') / positive('The distance', fromMetres, 'm')) ** 2;

/** Two lights compared, in both conventions, because "3:1" alone can mean either. */
export type LightingRatio = {
  /** Key over fill alone. */
  keyToFill: number;
  /** Key and fill together over fill alone. */
  bothToFill: number;
  stops: number;
  say: string;
};

/** Ratio of two lights from their levels in EV; the brighter one is the key. */
export const lightingRatio = (
  first: {id: string; levelEv: number},
  second: {id: string; levelEv: number},
): LightingRatio => {
  const [key, fill] = first.levelEv >= second.levelEv ? [first, second] : [second, first];
  const stops = finite('The difference of the levels', key.levelEv - fill.levelEv);
  const keyToFill = 2 ** stops;
  const print = (ratio: number): string => String(Number(ratio.toFixed(1)));
  return {
    keyToFill,
    bothToFill: keyToFill + 1,
    stops,
    say: `${key.id} gives ${print(keyToFill)} times the light of ${fill.id} (key to fill ${print(keyToFill)}:1; where both overlap, key and fill together to fill, ${print(keyToFill + 1)}:1).`,
  };
};
