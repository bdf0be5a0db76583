import type {CameraStatus} from '../../shared/camera.js';
import {dials, type Readings} from './dials.js';
import type {Setting, Storage} from './messages.js';
import type {Facts} from './session.js';
import {bulbWays} from './settings-table.js';
import {apertureOf, focusModeOf, formatOf, isoOf, numberOf, percentOf, shutterOf} from './values.js';

/** What else is known beside the camera's settings. */
export type Beside = {
  facts: Facts;
  storages: readonly Storage[];
  /** The camera's clock minus ours, seconds. */
  clockDifferenceSeconds: number | null;
  /** A time beyond the dial that was asked for, and for which the shutter will be held open. */
  bulbSeconds: number | null;
  /** What the last exposure's files were, where the camera doesn't say what it makes. */
  formatSeen: CameraStatus['format'] | null;
  /** Whether we have locked the focus in a way that the camera doesn't show. */
  lockedByUs: boolean;
  /** What came up on the way, each a sentence. */
  remarks: readonly string[];
};

const textOf = (setting: Setting | undefined): string => (typeof setting?.value === 'string' ? setting.value : '');

const settable = (setting: Setting | undefined): boolean => setting !== undefined && !setting.readOnly;

const exposureOf = (readings: Readings, bulbSeconds: number | null): CameraStatus['exposure'] => {
  const read = (setting: Setting | undefined, how: (text: string) => number | 'bulb' | null) =>
    setting === undefined ? null : numberOf(setting, how);
  const shutter = read(readings.shutter, shutterOf);
  const shutterSeconds = bulbSeconds ?? (shutter === 'bulb' ? null : shutter);
  const fNumber = read(readings.aperture, apertureOf);
  const iso = read(readings.iso, isoOf);
  if (typeof shutterSeconds !== 'number' || typeof fNumber !== 'number' || typeof iso !== 'number') return null;
  const possible = shutterSeconds > 0 && shutterSeconds <= 86_400 && fNumber >= 0.5 && fNumber <= 128 && iso >= 1;
  return possible ? {shutterSeconds, fNumber, iso} : null;
};

/** The fuller of two cards counts: it is the one that ends the evening. */
const least = (values: readonly (number | null)[]): number | null => {
  const known = values.filter(value => value !== null);
  return known.length === 0 ? null : Math.min(...known);
};

const framesLeftOf = (readings: Readings, storages: readonly Storage[]): number | null => {
  const shown = Number(readings.framesLeft?.value ?? Number.NaN);
  return Number.isFinite(shown) && shown >= 0 ? shown : least(storages.map(storage => storage.freeFrames));
};

const notesOf = (readings: Readings, format: CameraStatus['format'], beside: Beside): string[] => {
  const notes = dials
    .filter(dial => !settable(readings[dial.role]))
    .map(dial =>
      readings[dial.role] === undefined
        ? `This camera does not let the ${dial.words} be read or set from here; set it on the camera.`
        : `This camera shows its ${dial.words}, but does not let it be set from here.`,
    );
  if (format === 'raw')
    notes.push('The camera makes RAW files only; set it to RAW and JPEG, so that frames can be measured.');
  if (format === 'other')
    notes.push('The camera makes files that are no JPEG; set it to JPEG, so that frames can be measured.');
  const program = textOf(readings.program);
  if (program !== '' && !/^(m|manual|bulb)$/i.test(program.trim())) {
    notes.push('The exposure is not in manual; turn the camera to M.');
  }
  const target = textOf(readings.target);
  if (target !== '' && !/card/i.test(target)) {
    notes.push('The camera keeps frames in its memory, not on the card; pull each before the next.');
  }
  if (!beside.facts.canOpenShutter) notes.push('This camera can’t be released from here; release it by hand.');
  return [...notes, ...beside.remarks];
};

/** Whether some way to hold the shutter open is there. */
export const mayBulb = (facts: Facts): boolean =>
  bulbWays.some(way => facts.names.has(way.name) && (!way.needsOpenCapture || facts.hasOpenCapture));

/** Puts what was read into the words of the contract. */
export const statusOf = (readings: Readings, beside: Beside): CameraStatus => {
  const focusMode = focusModeOf(textOf(readings.focusMode));
  const said = formatOf(textOf(readings.format));
  const format = said === 'unknown' && beside.formatSeen !== null ? beside.formatSeen : said;
  const setExposure = dials.every(dial => settable(readings[dial.role]));
  const storages = beside.storages.filter(storage => storage.writable);
  return {
    exposure: exposureOf(readings, beside.bulbSeconds),
    focusMode,
    focusLocked: focusMode === 'manual' || beside.lockedByUs,
    format,
    batteryPercent: percentOf(textOf(readings.battery)),
    freeBytes: least(storages.map(storage => storage.freeBytes)),
    freeFrames: framesLeftOf(readings, storages),
    clockDifferenceSeconds: beside.clockDifferenceSeconds,
    can: {
      setExposure,
      openShutter: beside.facts.canOpenShutter,
      focusDrive: settable(readings.focusDrive),
      probe: setExposure && beside.facts.canOpenShutter,
    },
    notes: notesOf(readings, format, beside),
  };
};
