import type {Exposure} from '../../shared/exposure.js';
import type {PlateName} from '../../shared/journal.js';
import {linearOfLevel} from '../../shared/level.js';
import {flashStopsBetween, stopsBetween} from '../light/exposure.js';
import {printNumber} from '../light/words.js';

/** What one plate measured: levels in EV around middle grey, null where there was nothing to measure. */
export type PlateLevels = {
  plate: PlateName;
  exposure: Exposure | null;
  faceEv: number | null;
  wallEv: number | null;
};

/** One plate against the same plate of last time. */
export type PlateComparison = {
  plate: PlateName;
  /** How much brighter the light itself is than last time, other settings of the camera taken out, EV; null: unknown. */
  changeEv: number | null;
  state: 'ok' | 'watch' | 'fail';
  /** One sentence: "B is 0.6 EV brighter than last time." */
  say: string;
};

/** A camera's JPEG is good to a few tenths of an EV: less than this is the same. */
const SAME_EV = 0.3;
const FAR_EV = 1;

/**
 * Checks new plates against those of an earlier shoot, after its rig was built again. A light is compared on the face
 * and without what the dark plate holds, the room on the wall. What only the camera's settings changed is taken out:
 * time counts for the room alone, aperture and sensitivity for both.
 */
export const comparePlates = (before: readonly PlateLevels[], now: readonly PlateLevels[]): PlateComparison[] =>
  now.map(plate => {
    const old = before.find(each => each.plate === plate.plate);
    const {what, unit} = namesOf(plate.plate);
    if (!old) {
      return {plate: plate.plate, changeEv: null, state: 'watch', say: `${what} has no plate from last time.`};
    }
    const changeEv = changeOf(old, plate, darkFace(before), darkFace(now));
    if (changeEv === null) {
      return {plate: plate.plate, changeEv, state: 'watch', say: `${what} can't be compared: too dark to measure.`};
    }
    const amount = Math.abs(changeEv);
    const state = amount < SAME_EV ? 'ok' : amount < FAR_EV ? 'watch' : 'fail';
    const say =
      state === 'ok'
        ? `${what} is as last time.`
        : `${what} is ${printNumber(amount, 1)} EV ${changeEv > 0 ? 'brighter' : 'darker'} than last time${unit}.`;
    return {plate: plate.plate, changeEv, state, say};
  });

const namesOf = (plate: PlateName): {what: string; unit: string} => {
  if (plate === 'dark') return {what: 'The room', unit: ' on the wall'};
  if (plate === 'sitter') return {what: 'The face under all lights', unit: ''};
  return {what: plate.replace(/^light /, ''), unit: ''};
};

const darkFace = (plates: readonly PlateLevels[]): {linear: number; exposure: Exposure | null} => {
  const dark = plates.find(({plate}) => plate === 'dark');
  return {linear: dark?.faceEv == null ? 0 : linearOfLevel(dark.faceEv), exposure: dark?.exposure ?? null};
};

const changeOf = (
  old: PlateLevels,
  now: PlateLevels,
  oldDark: ReturnType<typeof darkFace>,
  newDark: ReturnType<typeof darkFace>,
): number | null => {
  const both = old.exposure && now.exposure ? {from: old.exposure, to: now.exposure} : null;
  if (now.plate === 'dark') {
    if (old.wallEv === null || now.wallEv === null) return null;
    return now.wallEv - old.wallEv - (both ? stopsBetween(both.from, both.to) : 0);
  }
  const oldEv = lightAloneEv(old, oldDark);
  const newEv = lightAloneEv(now, newDark);
  if (oldEv === null || newEv === null) return null;
  return newEv - oldEv - (both ? flashStopsBetween(both.from, both.to) : 0);
};

/** The face's level without the room's part; null where nothing of the light is left. */
const lightAloneEv = ({faceEv, exposure}: PlateLevels, dark: ReturnType<typeof darkFace>): number | null => {
  if (faceEv === null) return null;
  const roomStops = exposure && dark.exposure ? stopsBetween(dark.exposure, exposure) : 0;
  const light = linearOfLevel(faceEv) - dark.linear * 2 ** roomStops;
  // A light that is not clearly above the room can't be told from it.
  return light > linearOfLevel(faceEv) * 0.2 ? Math.log2(light / linearOfLevel(0)) : null;
};
