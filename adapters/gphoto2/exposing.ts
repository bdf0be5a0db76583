import {CameraFault, type CameraStatus, type ExposeRequest} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import {dialOf, longestShutter, type Readings, readDials, turn, turnToBulb} from './dials.js';
import type {CameraEvent, CardFile, Setting} from './messages.js';
import type {Session} from './session.js';
import {type BulbWay, bulbWays} from './settings-table.js';
import {numberOf} from './values.js';

const EXPOSING_EVENTS_MS = 10;
const IDLE_EVENTS_MS = 100;
/** Some bodies keep the release call until the exposure is over; by then the shutter is surely open. */
const SURELY_OPEN_MS = 250;
/** How long the camera must have been quiet before what it has named counts as everything, milliseconds. */
const QUIET_MS = {
  /** It said that it is done before it named a file, and nobody knows how many files it makes. */
  doneTooEarly: 600,
  /** It said that it is done, but a file is missing. */
  doneButOneMissing: 5000,
  /** It named as many files as expected, but never says that it is done. */
  enough: 1500,
  /** Neither. */
  unsure: 3000,
  oneMissing: 10_000,
};
/** What a camera may take after the exposure to write its files. */
export const USUAL_WRITING_MS = 30_000;
const TIMED_LIMIT_FACTOR = 3;

export type Exposed = {
  files: CardFile[];
  /** For a bulb exposure: how long the shutter was held open, seconds. */
  bulbSeconds: number | null;
  /** Whether the camera kept at it for about as long again: its own dark frame. */
  tookDarkFrame: boolean;
};

export type ExposureTools = {
  session: Session;
  clock: Clock;
  /** Adds a listener to the camera's events; returns the remover. */
  listen(listener: (event: CameraEvent) => void): () => void;
  /** Tells how contact was lost, once that happens. */
  lost: AbortSignal;
  /** How long after the exposure its files may still come, milliseconds. */
  writingMs: number;
  /** The shutter could not be closed: it must be as soon as the camera can be reached again. */
  leftOpen(held: Held): void;
  log(line: string): void;
};

type Watch = {
  files: CardFile[];
  /** How many files were named when the camera said that it is done; null while it has not. */
  doneAfter: number | null;
  full: boolean;
  /** Moment of the last news, by the real clock. */
  newsAt: number;
  changed(): Promise<void>;
  end(): void;
};

/** Collects what the camera tells during an exposure. */
const watchEvents = (tools: ExposureTools): Watch => {
  let wake: () => void = () => undefined;
  const watch: Watch = {
    files: [],
    doneAfter: null,
    full: false,
    newsAt: performance.now(),
    changed: () =>
      new Promise(resolve => {
        wake = resolve;
      }),
    end: () => undefined,
  };
  watch.end = tools.listen(event => {
    if (event.event === 'file') watch.files.push(event.file);
    if (event.event === 'complete') watch.doneAfter ??= watch.files.length;
    // 400A is the standard's "store full".
    if (event.event === 'other' && /event 400a/i.test(event.text)) watch.full = true;
    if (event.event !== 'other' || watch.full) watch.newsAt = performance.now();
    wake();
  });
  return watch;
};

const expectedFiles = (format: CameraStatus['format']): number => (format === 'raw+jpeg' ? 2 : 1);

const pause = (ms: number): Promise<void> => new Promise(resolve => setTimeout(resolve, ms));

/**
 * By the standard (ISO 15740, as far as we remember it) no file comes after "capture complete". A camera that says it
 * before its first file doesn't keep to that.
 */
const quietNeeded = (watch: Watch, expected: number | null): number => {
  const missing = expected !== null && watch.files.length < expected;
  if (watch.doneAfter !== null) {
    if (missing) return QUIET_MS.doneButOneMissing;
    return expected === null && watch.doneAfter === 0 ? QUIET_MS.doneTooEarly : 0;
  }
  if (expected === null) return QUIET_MS.unsure;
  return missing ? QUIET_MS.oneMissing : QUIET_MS.enough;
};

/** Waits until the camera has named its files: as many as expected, or until it has been quiet for long enough. */
const gather = async (
  watch: Watch,
  tools: ExposureTools,
  expected: number | null,
  limitMs: number,
): Promise<CardFile[]> => {
  const begun = performance.now();
  for (;;) {
    tools.lost.throwIfAborted();
    if (watch.full) throw new CameraFault('full', 'The card is full; change it, or delete frames on the camera.');
    const quietMs = performance.now() - watch.newsAt;
    if (watch.files.length > 0 && quietMs >= quietNeeded(watch, expected)) return watch.files;
    if (performance.now() - begun >= limitMs) return watch.files;
    await Promise.race([watch.changed(), pause(50)]);
  }
};

const noFile = (): CameraFault =>
  new CameraFault('lost', 'The camera exposed, but named no file; look on its card, and fetch what is missing.');

const alreadyAt = (readings: Readings, seconds: number): boolean => {
  const setting = readings.shutter;
  const now = setting === undefined ? null : numberOf(setting, dialOf('shutterSeconds').read);
  return typeof now === 'number' && Math.abs(Math.log2(now / seconds)) < 0.02;
};

export type Plan = 'timed' | 'bulb';

/** Sets the shutter time, or finds that it takes bulb. @throws CameraFault `refused` */
const setTime = async (session: Session, readings: Readings, seconds: number): Promise<Plan> => {
  if (alreadyAt(readings, seconds)) return 'timed';
  const longest = longestShutter(readings);
  if (longest === null && readings.shutter === undefined) return 'timed';
  if (longest !== null && seconds > longest * 1.1) {
    await turnToBulb(session, readings);
    return 'bulb';
  }
  await turn(session, readings, 'shutterSeconds', seconds);
  return 'timed';
};

/** Everything that comes before the release: the time is set, and what was still waiting to be told is told. @throws CameraFault */
export const prepareExposure = async (session: Session, seconds: number): Promise<Plan> => {
  const plan = await setTime(session, await readDials(session, ['shutter']), seconds);
  await session.ask<'drain'>({do: 'drain'}, 'be listened to');
  return plan;
};

const timed = async (
  request: ExposeRequest,
  tools: ExposureTools,
  watch: Watch,
  expected: number | null,
): Promise<Exposed> => {
  const {session, clock} = tools;
  const begun = {real: performance.now(), counted: clock.now()};
  const limitMs = request.seconds * 1000 * TIMED_LIMIT_FACTOR + tools.writingMs;
  const released = session.ask<'trigger'>({do: 'trigger'}, 'open the shutter', {limitMs});
  await Promise.race([released, pause(SURELY_OPEN_MS)]);
  request.onOpen();
  const closesAt = clock.now() + request.seconds * 1000;
  const news = new AbortController();
  released.catch(() => news.abort());
  const stop = tools.listen(event => {
    if (event.event === 'file' || event.event === 'complete') news.abort();
  });
  const overBefore = AbortSignal.any([news.signal, tools.lost]);
  await clock.until(closesAt, overBefore).catch(() => undefined);
  stop();
  request.onClose();
  tools.lost.throwIfAborted();
  const {file} = await released;
  if (file !== null) return {files: [file], bulbSeconds: null, tookDarkFrame: false};
  const files = await gather(watch, tools, expected, request.seconds * 1000 * 2 + tools.writingMs);
  const tookMs = watch.newsAt - begun.real;
  const inRealTime = Math.abs(clock.now() - begun.counted - (performance.now() - begun.real)) < 100;
  const tookDarkFrame = inRealTime && request.seconds >= 1 && tookMs >= request.seconds * 1900;
  return {files, bulbSeconds: null, tookDarkFrame};
};

const valueFor = (setting: Setting, wanted: number | readonly string[]): string | number | null => {
  if (typeof wanted === 'number') return setting.type === 'toggle' ? wanted : null;
  return wanted.find(choice => setting.choices.includes(choice)) ?? null;
};

/** A shutter that is held open, and what closes it. */
export type Held = {name: string; close: string | number};

export const closeShutter = async (session: Session, held: Held): Promise<void> => {
  await session.ask<'write'>({do: 'write', name: held.name, value: held.close}, 'close the shutter');
};

/** Opens the shutter by the first way that works. @throws CameraFault `unable` where none does */
const holdOpen = async (tools: ExposureTools, ways: readonly BulbWay[]): Promise<Held> => {
  const {session} = tools;
  const {names, hasOpenCapture} = await session.ready();
  for (const way of ways) {
    if (!names.has(way.name) || (way.needsOpenCapture && !hasOpenCapture)) continue;
    const {settings} = await session.ask<'read'>({do: 'read', names: [way.name]}, 'hold the shutter open');
    const setting = settings[0];
    if (setting === null || setting === undefined) continue;
    const [open, close] = [valueFor(setting, way.open), valueFor(setting, way.close)];
    if (open === null || close === null) continue;
    try {
      await session.ask<'write'>({do: 'write', name: way.name, value: open}, 'hold the shutter open');
      return {name: way.name, close};
    } catch (fault) {
      // Drivers offer ways that this camera does not have; the next may be its own.
      if (!(fault instanceof CameraFault) || (fault.reason !== 'refused' && fault.reason !== 'unable')) throw fault;
      tools.log(`${way.name}: ${fault.message}`);
    }
  }
  throw new CameraFault(
    'unable',
    'This camera can’t hold its shutter open from here; use 30 s or less, or a remote release.',
  );
};

const bulb = async (
  request: ExposeRequest,
  tools: ExposureTools,
  watch: Watch,
  expected: number | null,
): Promise<Exposed> => {
  const {session, clock} = tools;
  const held = await holdOpen(tools, bulbWays);
  const openedAt = clock.now();
  request.onOpen();
  const ends = AbortSignal.any([request.signal, tools.lost]);
  await clock.until(openedAt + request.seconds * 1000, ends).catch(() => undefined);
  try {
    await closeShutter(session, held);
  } catch (fault) {
    tools.leftOpen(held);
    throw fault;
  } finally {
    request.onClose();
  }
  const bulbSeconds = (clock.now() - openedAt) / 1000;
  tools.lost.throwIfAborted();
  const files = await gather(watch, tools, expected, bulbSeconds * 1000 * 2 + tools.writingMs);
  return {files, bulbSeconds, tookDarkFrame: false};
};

/**
 * Takes one exposure that has been prepared: by the shutter setting, or held open by hand.
 * @param format what the camera makes, as far as it is known: then the exposure is over with the last of its files
 * @throws CameraFault
 */
export const takeExposure = async (
  request: ExposeRequest,
  plan: Plan,
  format: CameraStatus['format'],
  tools: ExposureTools,
): Promise<Exposed> => {
  const listenEvery = (everyMs: number) => tools.session.ask<'listen'>({do: 'listen', everyMs}, 'be listened to');
  const watch = watchEvents(tools);
  const expected = format === 'unknown' ? null : expectedFiles(format);
  try {
    await listenEvery(EXPOSING_EVENTS_MS);
    const exposed = await (plan === 'bulb' ? bulb : timed)(request, tools, watch, expected);
    if (exposed.files.length === 0) throw noFile();
    return exposed;
  } finally {
    watch.end();
    if (tools.session.connected) await listenEvery(IDLE_EVENTS_MS).catch(() => undefined);
  }
};
