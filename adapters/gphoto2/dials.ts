import {CameraFault} from '../../shared/camera.js';
import {type Exposure, printAperture, printIso, printShutter} from '../../shared/exposure.js';
import type {Setting} from './messages.js';
import type {Session} from './session.js';
import {type Role, settingNames} from './settings-table.js';
import {apertureOf, isoOf, nearest, numberOf, shutterOf, stopsOf} from './values.js';

/** One of the three dials: what it is called, how its values read, print and compare. */
type Dial = {
  role: Role & ('shutter' | 'aperture' | 'iso');
  key: keyof Exposure;
  words: string;
  read(text: string): number | 'bulb' | null;
  print(value: number): string;
  /** Stops in a doubling of the number. */
  stopsPer: number;
};

export const dials: readonly Dial[] = [
  {role: 'shutter', key: 'shutterSeconds', words: 'shutter time', read: shutterOf, print: printShutter, stopsPer: 1},
  {role: 'aperture', key: 'fNumber', words: 'aperture', read: apertureOf, print: printAperture, stopsPer: 2},
  {role: 'iso', key: 'iso', words: 'ISO', read: isoOf, print: printIso, stopsPer: 1},
];

export type Readings = Partial<Record<Role, Setting>>;

const hasSteps = (setting: Setting): boolean =>
  !setting.readOnly && (setting.range !== null || setting.choices.length > 1);

/** Of the settings that may turn a dial, the first that can be turned counts; failing that, the first that can be read. */
const settled = (candidates: Setting[]): Setting | undefined => candidates.find(hasSteps) ?? candidates[0];

const first = (candidates: Setting[]): Setting | undefined => candidates[0];

const switched = (candidates: Setting[]): Setting | undefined => candidates.find(one => one.type === 'toggle');

const choosers: Partial<Record<Role, (candidates: Setting[]) => Setting | undefined>> = {
  shutter: settled,
  aperture: settled,
  iso: settled,
  focusDrive: switched,
  focusLock: switched,
  focusAtRelease: candidates => candidates.find(one => one.type === 'choice'),
};

const roles: readonly Role[] = [
  'shutter',
  'aperture',
  'iso',
  'focusMode',
  'program',
  'format',
  'target',
  'battery',
  'framesLeft',
  'focusDrive',
  'focusLock',
  'focusAtRelease',
];

/** Reads what the camera is set to, whatever it calls its settings. @throws CameraFault */
export const readDials = async (session: Session, wanted: readonly Role[] = roles): Promise<Readings> => {
  const {names} = await session.ready();
  const candidates = wanted.map(role => settingNames[role].filter(name => names.has(name)));
  const asked = [...new Set(candidates.flat())];
  const {settings} = await session.ask<'read'>({do: 'read', names: asked}, 'read its settings');
  const byName = new Map(settings.flatMap(setting => (setting === null ? [] : [[setting.name, setting] as const])));
  const readings: Readings = {};
  for (const [index, role] of wanted.entries()) {
    const choose = choosers[role] ?? first;
    const found = choose(candidates[index]!.flatMap(name => byName.get(name) ?? []));
    if (found !== undefined) readings[role] = found;
  }
  return readings;
};

/** Writes a setting and reads it back: some drivers say yes to what the camera refused. */
const writeAndRead = async (session: Session, name: string, value: string | number, doing: string) => {
  await session.ask<'write'>({do: 'write', name, value}, doing);
  const {settings} = await session.ask<'read'>({do: 'read', names: [name]}, doing);
  return settings[0] ?? null;
};

export const dialOf = (key: keyof Exposure): Dial => dials.find(dial => dial.key === key)!;

/**
 * Turns one dial to the offered value nearest to what is wanted.
 * @throws CameraFault `unable` where the camera has no such dial, `refused` where nothing near is offered or it stays
 */
export const turn = async (
  session: Session,
  readings: Readings,
  key: keyof Exposure,
  wanted: number,
): Promise<void> => {
  const dial = dialOf(key);
  const setting = readings[dial.role];
  if (setting === undefined || setting.readOnly) {
    throw new CameraFault('unable', `The ${dial.words} can’t be set from here; set it on the camera.`);
  }
  const best = nearest(stopsOf(setting, dial.read, wanted), wanted, dial.stopsPer);
  if (best === null || !best.near) {
    const instead = best === null ? '' : ` The nearest that it offers is ${dial.print(best.stop.is)}.`;
    throw new CameraFault('refused', `The camera has no ${dial.print(wanted)}.${instead}`);
  }
  const doing = `set the ${dial.words} to ${dial.print(best.stop.is)}`;
  const after = await writeAndRead(session, setting.name, best.stop.value, doing);
  const now = after === null ? null : numberOf(after, dial.read);
  if (typeof now === 'number' && nearest([{value: 0, is: now}], best.stop.is, dial.stopsPer)?.near === true) return;
  const stays = typeof now === 'number' ? `it stays at ${dial.print(now)}` : 'it does not show it';
  throw new CameraFault('refused', `The camera did not take ${dial.print(best.stop.is)}; ${stays}.`);
};

/** Turns the shutter dial to "bulb" where it has that. @returns whether it stands there */
export const turnToBulb = async (session: Session, readings: Readings): Promise<boolean> => {
  const setting = readings.shutter;
  if (setting === undefined || setting.readOnly) return false;
  if (typeof setting.value === 'string' && shutterOf(setting.value) === 'bulb') return true;
  const bulb = setting.choices.find(choice => shutterOf(choice) === 'bulb');
  if (bulb === undefined) return false;
  const after = await writeAndRead(session, setting.name, bulb, 'set the shutter to bulb');
  return typeof after?.value === 'string' && shutterOf(after.value) === 'bulb';
};

/** The longest time that the shutter dial offers, seconds; null where it can’t be set. */
export const longestShutter = (readings: Readings): number | null => {
  const setting = readings.shutter;
  if (setting === undefined || setting.readOnly) return null;
  const times = stopsOf(setting, shutterOf, Number.MAX_SAFE_INTEGER).map(stop => stop.is);
  return times.length === 0 ? null : Math.max(...times);
};
