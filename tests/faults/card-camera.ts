import {createHash} from 'node:crypto';
import {mkdirSync, readdirSync, readFileSync, renameSync, statSync, utimesSync, writeFileSync} from 'node:fs';
import {open, rm} from 'node:fs/promises';
import path from 'node:path';
import {type Camera, CameraFault, type CameraStatus, type FrameOnCamera} from '../../shared/camera.js';

/*
 * A camera that goes on by itself when the program dies, as a real one does: once its shutter is open the exposure runs
 * its time, and the frame lies on the card afterwards, whoever is there to fetch it. The card is a folder.
 */

const FRAME_BYTES = 60_000;
const PULL_PIECES = 6;

/** What a frame of this name holds; the same at every run. */
export const frameBytes = (name: string): Buffer => {
  const seed = createHash('sha256').update(name).digest();
  return Buffer.concat(
    Array.from({length: FRAME_BYTES / 32}, (_, at) => Buffer.from(seed.map(byte => byte ^ (at & 255)))),
  );
};

type Pending = {name: string; seconds: number; openedMs: number; dueMs: number};

/** Frames that lie on the card now: name → when they were made, epoch milliseconds. */
export const framesOnCard = (folder: string): Map<string, number> => {
  developDue(folder);
  const names = readdirSync(folder).filter(name => /\.(JPG|RAW)$/.test(name));
  return new Map(names.sort().map(name => [name, statSync(path.join(folder, name)).mtimeMs]));
};

/** Every shot that has ever been begun, by its name without an ending: when the shutter opened, and for how long. */
export const shotsOn = (folder: string): Map<string, Pick<Pending, 'openedMs' | 'seconds'>> =>
  new Map(
    readdirSync(folder)
      .filter(name => /\.(exposing|done)$/.test(name))
      .map(name => JSON.parse(readFileSync(path.join(folder, name), 'utf8')) as Pending)
      .map(({name, openedMs, seconds}) => [name, {openedMs, seconds}]),
  );

/** Lets every exposure whose time is over become frames. */
const developDue = (folder: string): void => {
  for (const file of readdirSync(folder).filter(name => name.endsWith('.exposing'))) {
    const pending = JSON.parse(readFileSync(path.join(folder, file), 'utf8')) as Pending;
    if (Date.now() >= pending.dueMs) develop(folder, pending);
  }
};

const develop = (folder: string, {name, dueMs}: Pending): string[] => {
  const files = [`${name}.JPG`, `${name}.RAW`];
  for (const file of files) {
    writeFileSync(path.join(folder, `${file}.part`), frameBytes(file));
    utimesSync(path.join(folder, `${file}.part`), dueMs / 1000, dueMs / 1000);
    renameSync(path.join(folder, `${file}.part`), path.join(folder, file));
  }
  try {
    renameSync(path.join(folder, `${name}.exposing`), path.join(folder, `${name}.done`));
  } catch {
    // Developed by the one who looked in between.
  }
  return files;
};

const wait = (milliseconds: number, signal?: AbortSignal): Promise<void> =>
  new Promise(resolve => {
    if (signal?.aborted) return resolve();
    const timer = setTimeout(resolve, milliseconds);
    signal?.addEventListener('abort', () => {
      clearTimeout(timer);
      resolve();
    });
  });

/** @param speed how many times faster than asked the exposures are */
export const cardCamera = (folder: string, speed: number): Camera => {
  mkdirSync(folder, {recursive: true});
  const handedOver = new Set<string>();
  let status: CameraStatus = {
    exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
    focusMode: 'manual',
    focusLocked: true,
    format: 'raw+jpeg',
    batteryPercent: 80,
    freeBytes: 1e10,
    freeFrames: 5000,
    clockDifferenceSeconds: 0,
    can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
    notes: [],
  };
  const onCard = (name: string): FrameOnCamera => ({
    folder: '/card',
    name,
    kind: name.endsWith('.JPG') ? 'jpeg' : 'raw',
    bytes: FRAME_BYTES,
  });
  return {
    identity: {kind: 'studio', maker: 'none', model: 'camera of its own', serial: '1', port: 'card'},
    status: async () => status,
    watch: () => () => undefined,
    set: async change => {
      status = {...status, exposure: {...status.exposure!, ...change}};
      return status;
    },
    focus: async () => status,
    async expose({seconds, signal, onOpen, onClose}) {
      const number = readdirSync(folder).filter(name => /\.(exposing|done)$/.test(name)).length + 1;
      const openedMs = Date.now();
      const pending: Pending = {
        name: `DSC_${String(number).padStart(5, '0')}`,
        seconds,
        openedMs,
        dueMs: openedMs + (seconds * 1000) / speed,
      };
      // Whole or not at all: a camera does not die half-way into an exposure because we do.
      const file = path.join(folder, `${pending.name}.exposing`);
      writeFileSync(`${file}.part`, JSON.stringify(pending));
      renameSync(`${file}.part`, file);
      onOpen();
      await wait(pending.dueMs - Date.now(), signal);
      onClose();
      const files = develop(folder, {...pending, dueMs: Date.now()});
      for (const name of files) handedOver.add(name);
      return files.map(onCard);
    },
    async pull({name}, file, progress, signal) {
      if (!framesOnCard(folder).has(name)) throw new CameraFault('lost', `${name} is not on the card.`);
      const bytes = frameBytes(name);
      const handle = await open(file, 'wx');
      try {
        for (let piece = 0; piece < PULL_PIECES; piece++) {
          const [from, to] = [piece, piece + 1].map(at => Math.floor((bytes.length * at) / PULL_PIECES));
          signal.throwIfAborted();
          await handle.write(bytes.subarray(from, to));
          progress(to!, bytes.length);
          await wait(2);
        }
        await handle.close();
      } catch (error) {
        await handle.close();
        await rm(file, {force: true});
        throw error;
      }
    },
    strays: async sinceMs =>
      [...framesOnCard(folder)]
        .filter(([name, madeAtMs]) => madeAtMs >= sinceMs && !handedOver.has(name))
        .map(([name]) => onCard(name)),
    close: async () => undefined,
  };
};
