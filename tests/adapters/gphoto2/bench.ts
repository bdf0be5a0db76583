import {mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import type {TestContext} from 'vitest';
import {type Gphoto2Camera, type Gphoto2Options, openGphoto2} from '../../../adapters/gphoto2/open.js';
import {CameraFault, type CameraFaultCause} from '../../../shared/camera.js';
import {type LoopbackCamera, type LoopbackOptions, startLoopbackCamera} from '../../loopback-camera/server.js';
import {createStillCamera, type StillCamera, type StillOptions} from '../../loopback-camera/still-camera.js';
import {needs} from '../../needs.js';

/*
 * What the tests of libgphoto2 stand on: the real library, a loopback camera, a home folder of their own (the library
 * writes there), and only the two drivers that are needed (loading all of them takes four times as long).
 */

export const needsLibrary = (context: TestContext): void =>
  needs(context, {library: 'libgphoto2.so.6'}, 'libgphoto2-6 libgphoto2-port12');

const folderOf = (library: string, driver: string): string | null => {
  for (const root of ['/usr/lib/x86_64-linux-gnu', '/usr/lib/aarch64-linux-gnu', '/usr/lib64', '/usr/lib']) {
    try {
      for (const version of readdirSync(join(root, library))) {
        const file = join(root, library, version, driver);
        if (readFileSync(file).length > 0) return file;
      }
    } catch {
      // Another system keeps it elsewhere.
    }
  }
  return null;
};

/** Whether the library is there at all, for tests that are made in a loop. */
export const libraryIsThere = (): boolean => folderOf('libgphoto2', 'ptp2.so') !== null;

/** An environment for the library's process, in a folder that goes away with `remove`. */
export const ownEnvironment = (): {environment: Record<string, string>; folder: string; remove(): void} => {
  const folder = mkdtempSync(join(tmpdir(), 'darkset-gphoto2-'));
  const environment: Record<string, string> = {HOME: folder};
  for (const [variable, library, driver] of [
    ['CAMLIBS', 'libgphoto2', 'ptp2.so'],
    ['IOLIBS', 'libgphoto2_port', 'ptpip.so'],
  ] as const) {
    const found = folderOf(library, driver);
    if (found === null) continue;
    const own = join(folder, variable);
    mkdirSync(own);
    symlinkSync(found, join(own, driver));
    environment[variable] = own;
  }
  return {environment, folder, remove: () => rmSync(folder, {recursive: true, force: true})};
};

export type Bench = {
  still: StillCamera;
  loopback: LoopbackCamera;
  camera: Gphoto2Camera;
  /** A folder for pulled files. */
  folder: string;
  log: string[];
};

export type BenchOptions = {
  still?: StillOptions;
  loopback?: LoopbackOptions;
  open?: Partial<Gphoto2Options>;
};

/** Opens a camera through the real library on a loopback camera, and takes all of it down when the test is over. */
export const withBench = async (options: BenchOptions, work: (bench: Bench) => Promise<void>): Promise<void> => {
  const own = ownEnvironment();
  const still = createStillCamera(options.still);
  const loopback = await startLoopbackCamera(still.camera, options.loopback);
  const log: string[] = [];
  let camera: Gphoto2Camera | null = null;
  try {
    camera = await openGphoto2({
      port: `ip:127.0.0.1:${loopback.port}`,
      environment: own.environment,
      writingMs: 4000,
      log: line => log.push(line),
      ...options.open,
    });
    await work({still, loopback, camera, folder: own.folder, log});
  } finally {
    await camera?.close();
    await loopback.stop();
    own.remove();
  }
};

export const noSignal = (): AbortSignal => new AbortController().signal;

/** The fault that a promise ends with; fails the test when it doesn't. */
export const faultOf = async (promise: Promise<unknown>): Promise<CameraFault> => {
  try {
    await promise;
  } catch (fault) {
    if (fault instanceof CameraFault) return fault;
    throw fault;
  }
  throw new Error('No fault came.');
};

export const causeOf = async (promise: Promise<unknown>): Promise<CameraFaultCause> => (await faultOf(promise)).reason;

/** Whether a process of this number still runs. */
export const runs = (pid: number | undefined): boolean => {
  if (pid === undefined) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
};

/** Waits until something holds, looking often; fails after `withinMs`. */
export const until = async (holds: () => boolean | Promise<boolean>, withinMs = 15_000): Promise<void> => {
  const begun = performance.now();
  while (!(await holds())) {
    if (performance.now() - begun > withinMs) throw new Error('It never came to be.');
    await new Promise(resolve => setTimeout(resolve, 25));
  }
};

/** An exposure with nothing to say about it. */
export const plainly = (seconds: number, signal: AbortSignal = noSignal()) => ({
  seconds,
  signal,
  onOpen: () => undefined,
  onClose: () => undefined,
});
