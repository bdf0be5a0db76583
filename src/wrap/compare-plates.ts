import type {Exposure} from '../../shared/exposure.js';
import type {PlateName} from '../../shared/journal.js';
import {linearOfLevel} from '../../shared/level.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import {keepsShape, predictScales} from '../judge/predict.js';
import {flashStopsBetween, stopsBetween} from '../light/exposure.js';
import {printNumber} from '../light/words.js';
import {lightChanges} from '../shoot/changes.js';

/** What one plate measured: levels in EV around middle grey, null where there was nothing to measure. */
export type PlateLevels = {
  plate: PlateName;
  exposure: Exposure | null;
  /** The rig that stood when it was taken. */
  rig: Rig;
  faceEv: number | null;
  wallEv: number | null;
};

/** One plate against the same plate of last time. */
export type PlateComparison = {
  plate: PlateName;
  /** How much brighter the light itself is than last time, other settings of the camera taken out, EV; null: unknown. */
  changeEv: number | null;
  /** Whether it is as it was: nothing to tell. */
  isSame: boolean;
  /** One sentence: "B is 0.6 EV brighter than last time." */
  say: string;
};

/** A camera's JPEG is good to a few tenths of an EV: less than this is the same. */
const SAME_EV = 0.3;
/** Below this a frame holds a few codes of noise: one black room is as black as another. */
const BLACK_EV = -7;

/**
 * Checks new plates against those of an earlier shoot, after its rig was built again. A light is compared on the face
 * and without what the dark plate holds, the room on the wall. What only the camera's settings changed is taken out:
 * time counts for the room alone, aperture and sensitivity for both. Where a light was set otherwise for the old plate
 * than for the new one, its change is told together with what was changed, and held against what that should do. All
 * lights together are left out then: their plates of one light each tell it better.
 */
export const comparePlates = (before: readonly PlateLevels[], now: readonly PlateLevels[]): PlateComparison[] =>
  now.flatMap(plate => {
    const what = nameOf(plate.plate);
    const unknown = (say: string): PlateComparison => ({plate: plate.plate, changeEv: null, isSame: false, say});
    const old = before.find(each => each.plate === plate.plate);
    if (!old) return [unknown(`${what} has no plate from last time.`)];
    const changes = lightChanges(litBy(old), litBy(plate));
    if (plate.plate === 'sitter' && changes.length > 0) return [];
    const changeEv = changeOf(old, plate, darkFace(before), darkFace(now));
    if (changeEv === null) return [unknown(`${what} can't be compared: too dark to measure.`)];
    const strayEv = changes.length === 0 ? changeEv : strayOf(changeEv, old, plate);
    return [
      {
        plate: plate.plate,
        changeEv,
        isSame: isSmall(changeEv) && isSmall(strayEv),
        say: sayChange({what, changeEv, strayEv, changes}),
      },
    ];
  });

const nameOf = (plate: PlateName): string => {
  if (plate === 'dark') return 'The room';
  return plate === 'sitter' ? 'The face under all lights' : lightOf(plate);
};

const lightOf = (plate: PlateName): string => plate.replace(/^light /, '');

/** The lights of this rig that this plate is taken with. */
export const lightsOn = ({plate}: {plate: PlateName}, {lights}: Rig): FlashLight[] => {
  if (plate === 'dark') return [];
  return plate === 'sitter' ? lights : lights.filter(({id}) => id === lightOf(plate));
};

const litBy = (plate: PlateLevels): FlashLight[] => lightsOn(plate, plate.rig);

/**
 * How far the change is from what the new settings of this light should make, EV; null where that can't be told: a light
 * that is turned, goes round or wears another snoot falls on the face in another shape.
 */
const strayOf = (changeEv: number, old: PlateLevels, now: PlateLevels): number | null => {
  const [was, is] = [litBy(old)[0], litBy(now)[0]];
  const exposure = now.exposure ?? old.exposure;
  if (!was || !is || !exposure) return null;
  const expectedEv = predictScales({rig: old.rig, exposure}, {rig: now.rig, exposure}).lights[is.id] ?? null;
  return keepsShape(was, is) && expectedEv !== null ? changeEv - expectedEv : null;
};

const amountOf = (ev: number): string => `${printNumber(Math.abs(ev), 1)} EV ${ev > 0 ? 'brighter' : 'darker'}`;

const isSmall = (ev: number | null): boolean => ev !== null && Math.abs(ev) < SAME_EV;

type Change = {what: string; changeEv: number; strayEv: number | null; changes: string[]};

const sayChange = ({what, changeEv, strayEv, changes}: Change): string => {
  const found = isSmall(changeEv) ? `${what} is as last time` : `${what} is ${amountOf(changeEv)} than last time`;
  if (changes.length === 0) return `${found}.`;
  const because = changes.join(', ');
  if (strayEv === null) return `${found}, when it was set otherwise: ${because}.`;
  const held = isSmall(strayEv) ? 'as it should be' : `and ${amountOf(strayEv)} than it should be`;
  return `${found}, ${held}: ${because}.`;
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
    if (Math.max(old.wallEv, now.wallEv) < BLACK_EV) return 0;
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
