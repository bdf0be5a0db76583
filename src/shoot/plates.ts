import {readdir, stat} from 'node:fs/promises';
import path from 'node:path';
import {CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import {type CueSheet, usualCueSheet} from '../../shared/cues.js';
import type {PlateName, ShootFile} from '../../shared/journal.js';
import type {Rig} from '../../shared/rig.js';
import {diskTrouble} from './disk.js';
import {arrangement, countDown, type Exposing, openShutter, pullAll, type StopSignals} from './exposing.js';
import {makeInside, nameChoices, safeName, safePath} from './names.js';
import type {OpenShoot} from './open-shoot.js';
import {plateStem} from './plate-names.js';
import {PullFault, renameNew} from './pull.js';
import type {Shoot, Subject} from './state.js';
import {StopAsked} from './stopping.js';

export const PLATES = 'plates';
/** Pulled here first, so that the plate that is there stays until the new one is whole. */
const INCOMING = `${PLATES}/incoming`;
/** Plates that were taken again, or that nobody knows. */
const REPLACED = `${PLATES}/replaced`;

export type PlateKit = Exposing & Pick<OpenShoot, 'append' | 'shoot'>;

/**
 * Takes a plate with the machinery of an attempt: countdown, exposure, pull, journal. The plate of that name which was
 * there before is kept aside.
 * @throws the stop's reason, CameraFault, PullFault, SleptFault, JournalFault; the plates are then as they were
 */
export const takePlate = async (kit: PlateKit, plate: PlateName, signals: StopSignals): Promise<ShootFile[]> => {
  const {exposure, rig, cues} = kit.shoot();
  const subject: Subject = {kind: 'plate', plate};
  const sheet = plateCues(cues, exposure.shutterSeconds, plate, kit.room !== null);
  const nothing = (): void => undefined;

  const running = await countDown(kit, subject, sheet, exposure.shutterSeconds, signals.stop);
  kit.room?.arrange(arrangement(rig, sheet, plateScene(rig, plate)));
  const shutter = {opened: nothing, closed: nothing};
  const {frames, cutShort} = await openShutter(kit, subject, exposure.shutterSeconds, running, signals.stop, shutter);
  if (cutShort) throw cutShort;
  if (frames.length === 0) throw new CameraFault('lost', 'The exposure left no frame on the camera.');

  const pulled: ShootFile[] = [];
  const place = {into: INCOMING, known: new Set<string>(), name: plateFileName(plate)};
  const missed = await pullAll(kit, subject, frames, place, signals.stop, async file => void pulled.push(file));
  if (missed.length > 0) throw missed[0];
  if (signals.stop.aborted) throw new StopAsked();
  const files = await putInPlace(kit.shootFolder, plate, pulled);
  await kit.append({kind: 'plate-taken', plate, exposure, files});
  return files;
};

/** "dark.jpg", "light-A.cr3": the plate's name with the ending of the camera's file. */
const plateFileName =
  (plate: PlateName) =>
  ({name}: FrameOnCamera): string =>
    `${plateStem(plate)}${path.extname(safeName(name)).toLowerCase() || '.jpg'}`;

/** Who is where on a plate: its one flash or all of them, nobody painting; the dark plate is of the empty room. */
const plateScene = (rig: Rig, plate: PlateName) => {
  const painting = false;
  if (plate === 'dark') return {firing: [], sitter: false, painting};
  if (plate === 'sitter') return {firing: 'all' as const, sitter: true, painting};
  return {firing: rig.lights.map(({id}) => id).filter(id => plate === `light ${id}`), sitter: true, painting};
};

/** Seconds to count down where the room arranges itself and nobody has to walk. */
const NO_WALK_SECONDS = 3;

/** The shoot's sheet without what a plate has none of; a plate of no flash has no flash cue. */
export const plateCues = (cues: CueSheet, shutterSeconds: number, plate: PlateName, noWalk: boolean): CueSheet => {
  const countdownSeconds = noWalk ? Math.min(NO_WALK_SECONDS, cues.countdownSeconds) : cues.countdownSeconds;
  const usual = usualCueSheet(shutterSeconds, countdownSeconds);
  const left = plate === 'dark' ? ['paint', 'hold still', 'flash'] : ['paint'];
  return {countdownSeconds, cues: usual.cues.filter(({name}) => !left.includes(name))};
};

/** What the person has to see to before a plate, in a real room. */
export const plateInstructions = (rig: Rig, plate: PlateName): string => {
  const others = rig.lights.filter(({on}) => on).map(({id}) => id);
  if (plate === 'dark') return 'Nobody on the mark, flashes and painting light off, room light off.';
  if (plate === 'sitter') return `Stand on the mark, room light off, flashes ${others.join(' and ')} on, do not paint.`;
  const id = plate.slice('light '.length);
  const off = others.filter(other => other !== id);
  return `Stand on the mark, room light off, fire flash ${id} alone${off.length > 0 ? `, ${off.join(' and ')} off` : ''}.`;
};

/** Moves a plate of this name aside and the new files into its place. */
const putInPlace = async (shootFolder: string, plate: PlateName, pulled: ShootFile[]): Promise<ShootFile[]> => {
  try {
    const folder = safePath(shootFolder, PLATES);
    const stem = plateStem(plate);
    for (const name of await readdir(folder)) {
      if (path.parse(name).name === stem) await moveAside(shootFolder, name);
    }
    const placed: ShootFile[] = [];
    for (const file of pulled) {
      const name = path.basename(file.path);
      await renameNew(safePath(shootFolder, file.path), path.join(folder, name));
      placed.push({...file, path: `${PLATES}/${name}`});
    }
    return placed;
  } catch (error) {
    throw new PullFault(`The ${plate} plate can't be put in its place: ${diskTrouble(error)}.`);
  }
};

const moveAside = async (shootFolder: string, name: string): Promise<void> => {
  const replaced = await makeInside(shootFolder, REPLACED);
  for (const choice of nameChoices(name)) {
    if (await renameNew(path.join(safePath(shootFolder, PLATES), name), path.join(replaced, choice))) return;
  }
};

/**
 * Makes folder and journal agree about the plates after a program that did not end properly: files that no entry knows
 * are moved aside.
 * @returns plates whose files are missing or of another size; their entries no longer hold
 */
export const tidyPlates = async (shootFolder: string, {plates}: Pick<Shoot, 'plates'>): Promise<PlateName[]> => {
  const folder = safePath(shootFolder, PLATES);
  const known = new Set(plates.flatMap(({files}) => files.map(file => file.path)));
  const found = await readdir(folder, {withFileTypes: true}).catch(() => []);
  for (const entry of found) {
    if (entry.isFile() && !known.has(`${PLATES}/${entry.name}`) && entry.name !== 'zones.json') {
      await moveAside(shootFolder, entry.name).catch(() => undefined);
    }
  }
  const broken: PlateName[] = [];
  for (const {plate, files} of plates) {
    const whole = await Promise.all(files.map(file => hasSize(shootFolder, file)));
    if (whole.includes(false)) broken.push(plate);
  }
  return broken;
};

const hasSize = async (shootFolder: string, {path: relative, bytes}: ShootFile): Promise<boolean> => {
  try {
    return (await stat(safePath(shootFolder, relative))).size === bytes;
  } catch {
    return false;
  }
};
