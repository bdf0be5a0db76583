import {readdir, realpath, stat} from 'node:fs/promises';
import {basename, join} from 'node:path';
import exifr from 'exifr';
import {
  type Camera,
  CameraFault,
  type CameraIdentity,
  type CameraStatus,
  type ExposeRequest,
  type FrameOnCamera,
} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import {type Exposure, exposureSchema} from '../../shared/exposure.js';
import {plainText} from '../../shared/plain-text.js';
import {pullFile} from '../pull-file.js';
import {type Arrival, type FolderWatch, watchFolder} from './folder-watch.js';
import {frameKindOf, jpegIsWhole, leavesFolder, plainFileOf, shotOf} from './frame-files.js';

export type InboxOptions = {
  /** The folder that the camera (or its card reader, or its network sender) drops files into. */
  folder: string;
  /** The clock that the asked seconds of an exposure are counted on. */
  clock: Clock;
  /** How long a file's size must stay before it counts as written, ms. */
  settleMs?: number;
  /** How long the other file of a RAW and JPEG pair is waited for after the first is whole, ms. */
  siblingMs?: number;
};

const unable = (what: string): CameraFault =>
  new CameraFault('unable', `A folder can’t ${what}; do it on the camera itself.`);

/** Exposure from a frame's Exif; null where it tells none. */
const exposureOf = async (path: string): Promise<Exposure | null> => {
  const tags = await exifr.parse(path, ['ExposureTime', 'FNumber', 'ISO']).catch(() => null);
  const parsed = exposureSchema.safeParse({shutterSeconds: tags?.ExposureTime, fNumber: tags?.FNumber, iso: tags?.ISO});
  return parsed.success ? parsed.data : null;
};

const formatOf = (frames: FrameOnCamera[]): CameraStatus['format'] => {
  const kinds = new Set(frames.map(frame => frame.kind));
  if (kinds.has('jpeg') && kinds.has('raw')) return 'raw+jpeg';
  return kinds.has('raw') ? 'raw' : kinds.has('jpeg') ? 'jpeg' : 'unknown';
};

/** The first whole shot that began to arrive after this moment; null while there is none. */
const shotSince = (files: Arrival[], since: number): Arrival[] | null => {
  const fresh = files.filter(file => file.seenAt >= since && file.bytes > 0);
  const first = fresh.find(file => file.whole);
  return first ? fresh.filter(file => shotOf(file.name) === shotOf(first.name)) : null;
};

/**
 * A watched folder as a camera, for cameras that can only drop files. The exposure is started by hand on the camera:
 * `expose` calls `onOpen` when it begins to wait, so the cues run from there; it calls `onClose` when the asked seconds
 * are over, and resolves when a whole file (with its RAW or JPEG sibling) has arrived. Originals are only read.
 * @throws CameraFault `gone` where the folder is not there
 */
export const openInbox = async (options: InboxOptions): Promise<Camera> => {
  const {clock} = options;
  const siblingMs = options.siblingMs ?? 2000;
  const shown = plainText(options.folder);
  const gone = (): CameraFault =>
    new CameraFault(
      'gone',
      `The folder ${shown} is not there; bring it back, or name another with --camera inbox:FOLDER.`,
    );
  const folder = await realpath(options.folder).catch(() => {
    throw gone();
  });
  if (!(await stat(folder)).isDirectory()) {
    throw new CameraFault('gone', `${shown} is not a folder; name the folder that the camera drops its files into.`);
  }
  const files: FolderWatch = await watchFolder(folder, options.settleMs ?? 600);
  const identity: CameraIdentity = {
    kind: 'inbox',
    maker: '',
    model: 'watched folder',
    serial: '',
    port: plainText(basename(folder)),
  };
  const listeners = new Set<(status: CameraStatus) => void>();
  const handedOver = new Set<string>();
  let exposure: Exposure | null = null;
  let format: CameraStatus['format'] = 'unknown';
  let waitingSince: number | null = null;
  let closed = false;
  const closing = new AbortController();
  const letGo = (): CameraFault => new CameraFault('gone', 'The watched folder was let go of; connect to it again.');

  const check = (): void => {
    if (closed) throw letGo();
    if (!files.present()) throw gone();
  };
  const status = (): CameraStatus => ({
    exposure,
    focusMode: 'unknown',
    focusLocked: false,
    format,
    batteryPercent: null,
    freeBytes: null,
    freeFrames: null,
    clockDifferenceSeconds: null,
    can: {setExposure: false, openShutter: false, focusDrive: false, probe: false},
    notes: notesOf(shown, files, waitingSince),
  });
  const tell = (): CameraStatus => {
    const now = status();
    for (const listener of [...listeners]) listener(now);
    return now;
  };
  files.onChange(tell);

  const frameOf = (file: {name: string; bytes: number}): FrameOnCamera => ({
    folder,
    name: file.name,
    kind: frameKindOf(file.name) ?? 'other',
    bytes: file.bytes,
  });

  const receive = async (shot: Arrival[]): Promise<FrameOnCamera[]> => {
    const frames = shot.filter(file => file.whole).map(frameOf);
    for (const frame of frames) handedOver.add(frame.name);
    const read = frames.find(frame => frame.kind === 'jpeg') ?? frames[0];
    if (read) exposure = (await exposureOf(join(folder, read.name))) ?? exposure;
    if (frames.length > 0) format = formatOf(frames);
    return frames.sort((a, b) => (a.name < b.name ? -1 : 1));
  };

  const expose = async (request: ExposeRequest): Promise<FrameOnCamera[]> => {
    check();
    if (waitingSince !== null) {
      throw new CameraFault('busy', 'A file is being waited for already; let it arrive or stop the attempt.');
    }
    if (!(request.seconds > 0)) throw new CameraFault('refused', 'An exposure must take longer than no time at all.');
    if (request.signal.aborted) return [];
    const since = performance.now();
    waitingSince = since;
    const opened = clock.now();
    let shut = false;
    const shutOnce = (): void => {
      if (!shut) request.onClose();
      shut = true;
    };
    const over = new AbortController();
    try {
      request.onOpen();
      tell();
      clock.until(opened + request.seconds * 1000, over.signal).then(shutOnce, () => undefined);
      const shot = await arrival(files, since, siblingMs, AbortSignal.any([request.signal, closing.signal]), gone);
      if (closed) throw letGo();
      shutOnce();
      return await receive(shot);
    } finally {
      over.abort();
      waitingSince = null;
      if (!closed) tell();
    }
  };

  return {
    identity,
    status: async () => {
      check();
      return status();
    },
    watch: listener => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    set: async () => {
      check();
      throw unable('change the camera’s settings');
    },
    focus: async () => {
      check();
      throw unable('focus');
    },
    expose,
    pull: async (frame, path, progress, signal) => {
      check();
      const name = plainText(frame.name);
      if (frame.folder !== folder || leavesFolder(frame.name) || frameKindOf(frame.name) === null) {
        throw new CameraFault('lost', `${name} is not a frame of the watched folder.`);
      }
      if (!(await plainFileOf(folder, frame.name))) {
        throw new CameraFault('lost', `${name} is not in the watched folder any more; look whether it was moved.`);
      }
      await pullFile(join(folder, frame.name), path, name, progress, signal);
    },
    strays: async sinceMs => {
      check();
      const names = (await readdir(folder)).filter(name => frameKindOf(name) !== null && !handedOver.has(name));
      const found: FrameOnCamera[] = [];
      for (const name of names.sort()) {
        const facts = await plainFileOf(folder, name);
        // The change time is when the file came to lie here; its other times may be the camera's.
        if (!facts || facts.size === 0 || facts.ctimeMs < sinceMs) continue;
        if (frameKindOf(name) === 'jpeg' && !(await jpegIsWhole(join(folder, name)))) continue;
        found.push(frameOf({name, bytes: facts.size}));
      }
      return found;
    },
    close: async () => {
      if (closed) return;
      closed = true;
      listeners.clear();
      closing.abort();
      await files.close();
    },
  };
};

/** What should be said: how the exposure is started, and what lies there unfinished. */
const notesOf = (shown: string, files: FolderWatch, waitingSince: number | null): string[] => {
  const notes = [`The exposure is started by hand on the camera, at the cue; its file is awaited in ${shown}.`];
  for (const file of files.arrivals()) {
    if (file.whole || (waitingSince !== null && file.seenAt < waitingSince)) continue;
    notes.push(`${plainText(file.name)} is arriving: ${file.bytes} bytes so far.`);
  }
  return notes;
};

/**
 * Waits for the files of one shot: until one is whole, then a moment for its sibling, then for that to be whole as well.
 * An abort gives what is whole by then.
 */
const arrival = (
  files: FolderWatch,
  since: number,
  siblingMs: number,
  signal: AbortSignal,
  gone: () => CameraFault,
): Promise<Arrival[]> =>
  new Promise((resolve, reject) => {
    let sibling: NodeJS.Timeout | null = null;
    let patient = true;
    const end = (): void => {
      forget();
      signal.removeEventListener('abort', stop);
      if (sibling) clearTimeout(sibling);
    };
    const stop = (): void => {
      end();
      resolve(shotSince(files.arrivals(), since) ?? []);
    };
    const look = (): void => {
      if (!files.present()) {
        end();
        reject(gone());
        return;
      }
      const shot = shotSince(files.arrivals(), since);
      if (!shot) return;
      const pair = shot.length > 1;
      if (shot.every(file => file.whole) && (pair || !patient)) {
        end();
        resolve(shot);
      } else if (!pair && !sibling) {
        sibling = setTimeout(() => {
          patient = false;
          look();
        }, siblingMs);
      }
    };
    const forget = files.onChange(look);
    signal.addEventListener('abort', stop, {once: true});
    look();
  });
