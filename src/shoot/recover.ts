import {CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import type {ShootFile} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import type {Measurer} from '../frame/measurer.js';
import type {Judge} from '../judge/contract.js';
import {attemptFolder, measureAttempt} from './attempt.js';
import {type Exposing, pullAll} from './exposing.js';
import {knownFiles} from './fold.js';
import type {OpenShoot} from './open-shoot.js';
import type {Activity, Attempt, Shoot} from './state.js';
import {exposingForMs} from './still-exposing.js';
import {counted} from './units.js';

/** What looking for lost frames came to. */
export type Recovered = {
  /** Attempts that got frames. */
  attempts: number[];
  /** Attempts whose frame is not on this camera. */
  missing: number[];
  strays: ShootFile[];
  /** One sentence for a person; null when there was nothing to look for and nothing was found. */
  say: string | null;
};

type RecoverKit = Pick<Exposing, 'camera' | 'shootFolder' | 'show' | 'time'> &
  Pick<OpenShoot, 'append' | 'shoot'> & {measurer: Measurer; judge: Judge};

/**
 * Whether an attempt's exposure may have left frames on a camera that are not in the shoot; also one whose frame was looked
 * for in vain, as it may have been another camera.
 */
export const lacksFrames = (attempt: Attempt): boolean => {
  if (attempt.framesMade.length > 0) return missingFrames(attempt).length > 0;
  return attempt.files.length === 0 && (Boolean(attempt.openedAt) || attempt.stage === 'begun');
};

/** Attempts that are looked for without being asked: those that got no further for want of their frame. */
export const unfinished = ({attempts}: Pick<Shoot, 'attempts'>): Attempt[] =>
  attempts.filter(attempt => {
    if (attempt.stage === 'measured' || attempt.stage === 'unmeasured') return false;
    const inVain = attempt.framesTold === true && attempt.framesMade.length === 0;
    return !inVain && lacksFrames(attempt);
  });

const missingFrames = ({framesMade, files}: Attempt): {folder: string; name: string}[] =>
  framesMade.filter(({name}) => !files.some(file => file.nameOnCamera === shownName(name)));

/** A camera's name as the journal holds it. */
const shownName = (name: string): string => plainText(name).slice(0, 400).toWellFormed();

type Search = {
  lacking: Attempt[];
  /** Strays made before this are not looked at, epoch milliseconds. */
  sinceMs: number;
  /** Wall-clock time, epoch milliseconds. */
  nowMs: number;
};

/**
 * Looks on the camera for frames that attempts made and the shoot has not, pulls and measures them; frames that belong
 * to no attempt are pulled as strays. A camera goes on exposing without us: a frame that it may still be making is awaited.
 * @throws CameraFault, JournalFault, or the signal's reason
 */
export const recoverFrames = async (kit: RecoverKit, search: Search, signal: AbortSignal): Promise<Recovered> => {
  const {lacking} = search;
  const shares = share(await look(kit, search, signal), lacking);
  const got: number[] = [];
  for (const {attempt, frames} of shares.attempts) {
    if (frames.length > 0 && (await fetch(kit, attempt, frames, signal))) got.push(attempt.number);
  }
  const missing = lacking.map(({number}) => number).filter(number => !got.includes(number));
  await endUnfinished(kit, missing);
  const strays = await fetchStrays(kit, shares.rest, signal);
  return {attempts: got, missing, strays, say: words(got, missing, strays)};
};

/** Between two looks at a camera that may still be exposing, on the shoot's clock. */
const LOOK_EVERY_MS = 1000;

/**
 * Frames on the camera that the shoot has not. While an attempt without a frame may still be exposing it is looked again,
 * until every such attempt has one and a second look finds no more (a RAW may be written after its JPEG).
 */
const look = async (
  {camera, shoot, show, time: {clock, speed}}: RecoverKit,
  {lacking, sinceMs, nowMs}: Search,
  signal: AbortSignal,
): Promise<FrameOnCamera[]> => {
  const untold = lacking.filter(({framesTold}) => !framesTold);
  const wanted = untold.length + untold.filter(({probing}) => probing).length;
  const untilMs = clock.now() + Math.max(0, ...untold.map(attempt => exposingForMs(attempt, nowMs, speed)));
  for (let before = -1; ; ) {
    signal.throwIfAborted();
    const over = clock.now() >= untilMs;
    const found = (await straysOf(camera, sinceMs, over)).filter(frame => !isKnown(shoot(), frame));
    const shots = new Set(found.map(stem)).size;
    if (over || (shots >= wanted && found.length === before)) return found;
    before = found.length;
    if (shots < wanted) show(awaited(untold.at(-1)!.number));
    await clock.until(Math.min(untilMs, clock.now() + LOOK_EVERY_MS), signal);
  }
};

/** @param over false while the camera may be exposing: it then need not answer */
const straysOf = async (camera: RecoverKit['camera'], sinceMs: number, over: boolean): Promise<FrameOnCamera[]> =>
  camera.strays(sinceMs).catch(error => {
    if (!over && error instanceof CameraFault && error.reason === 'busy') return [];
    throw error;
  });

const awaited = (attempt: number): Activity => ({
  kind: 'waiting for a file',
  subject: {kind: 'attempt', attempt},
  say: 'The camera may still be exposing; its frame is awaited.',
});

/** A frame that the shoot has already: cameras number from the start again after a while, so its size must be the same. */
const isKnown = (shoot: Shoot, {name, bytes}: FrameOnCamera): boolean => {
  const shown = shownName(name);
  return (
    knownFiles(shoot).some(file => file.nameOnCamera === shown && (bytes === null || bytes === file.bytes)) ||
    (shoot.probeFrames ?? []).some(
      probe => shownName(probe.name) === shown && (bytes === null || probe.bytes === null || bytes === probe.bytes),
    )
  );
};

/** Which frames belong to which attempt: by the names it told, or else one shot each in the order of their names. */
const share = (
  found: FrameOnCamera[],
  lacking: Attempt[],
): {attempts: {attempt: Attempt; frames: FrameOnCamera[]}[]; rest: FrameOnCamera[]} => {
  const left = new Set(found);
  const attempts = lacking.map(attempt => {
    const names = missingFrames(attempt);
    const frames = [...left].filter(frame => names.some(({name}) => name === shownName(frame.name)));
    for (const frame of frames) left.delete(frame);
    // The camera may not list what it has already handed over; a name told in full is asked for all the same.
    const untold = names.filter(({name}) => !frames.some(frame => shownName(frame.name) === name));
    return {attempt, frames: [...frames, ...untold.map(asked)]};
  });
  for (const {attempt, frames} of attempts) {
    if (attempt.framesMade.length > 0) continue;
    // A probe that nobody knows the end of came before the attempt's own exposure.
    if (attempt.probing) takeFirst(left);
    frames.push(...takeFirst(left));
  }
  return {attempts, rest: [...left]};
};

/** Takes out the first shot by name, with every file of it. */
const takeFirst = (left: Set<FrameOnCamera>): FrameOnCamera[] => {
  const [first] = [...left].sort((one, other) => stem(one).localeCompare(stem(other)));
  const shot = [...left].filter(frame => first && stem(frame) === stem(first));
  for (const frame of shot) left.delete(frame);
  return shot;
};

/** RAW and JPEG of one shot share this. */
const stem = ({folder, name}: FrameOnCamera): string => `${folder}/${name.replace(/\.[^.]*$/, '')}`;

const asked = ({folder, name}: {folder: string; name: string}): FrameOnCamera => ({
  folder,
  name,
  kind: /\.jpe?g$/i.test(name) ? 'jpeg' : 'raw',
  bytes: null,
});

/** Pulls an attempt's frames and measures it. Returns whether any came. */
const fetch = async (
  kit: RecoverKit,
  {number, framesMade, reading}: Attempt,
  frames: FrameOnCamera[],
  signal: AbortSignal,
): Promise<boolean> => {
  const {append, shoot} = kit;
  const subject = {kind: 'attempt', attempt: number} as const;
  if (framesMade.length === 0) await append({kind: 'frames-made', attempt: number, frames});
  const known = new Set(knownFiles(shoot()).map(({path}) => path));
  try {
    await pullAll(kit, subject, frames, {into: attemptFolder(number), known}, signal, async file => {
      await append({kind: 'frame-pulled', attempt: number, file});
    });
  } catch (error) {
    if (error instanceof CameraFault && error.reason === 'lost') return false;
    throw error;
  }
  kit.show({kind: 'measuring', subject});
  if (!reading) await measureAttempt(kit, number, signal);
  return true;
};

/** Writes down that the camera has no frame of these, and how those ended whose program ended with them. */
const endUnfinished = async ({append, shoot}: RecoverKit, missing: number[]): Promise<void> => {
  for (const attempt of shoot().attempts.filter(({number}) => missing.includes(number))) {
    const {number, stage, files, framesTold} = attempt;
    if (!framesTold) await append({kind: 'frames-made', attempt: number, frames: []});
    if (stage === 'stopped' || files.length > 0) continue;
    const during = stage === 'begun' ? 'countdown' : framesTold ? 'pull' : 'exposure';
    const why = 'The program ended before the attempt did, and no frame of it is on the camera.';
    await append({kind: 'attempt-stopped', attempt: number, during, why});
  }
};

const fetchStrays = async (kit: RecoverKit, frames: FrameOnCamera[], signal: AbortSignal): Promise<ShootFile[]> => {
  const strays: ShootFile[] = [];
  if (frames.length === 0) return strays;
  const known = new Set(knownFiles(kit.shoot()).map(({path}) => path));
  const subject = {kind: 'probe'} as const;
  await pullAll(kit, subject, frames, {into: 'strays', known}, signal, async file => {
    await kit.append({kind: 'stray-pulled', file});
    strays.push(file);
  });
  return strays;
};

const words = (got: number[], missing: number[], strays: ShootFile[]): string | null => {
  const parts = [
    ...(got.length > 0 ? [`The frame of attempt ${got.join(', ')} was fetched from the camera.`] : []),
    ...(missing.length > 0 ? [`The frame of attempt ${missing.join(', ')} is not on this camera.`] : []),
    ...(strays.length > 0 ? [`${counted(strays.length, 'frame')} made by hand: in the folder "strays".`] : []),
  ];
  return parts.length > 0 ? parts.join(' ') : null;
};
