import {createHash} from 'node:crypto';
import {createReadStream} from 'node:fs';
import {link, open, readdir, rename, rm, stat} from 'node:fs/promises';
import path from 'node:path';
import {type Camera, CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import type {ShootFile} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import {diskTrouble, errorCode, freeBytes, syncFile, syncFolder} from './disk.js';
import {insideReally, makeInside, nameChoices, safeName, safePath, sameNameKey} from './names.js';
import {byteSize} from './units.js';

/** A frame could not be brought into the shoot; it is still on the camera. One sentence for a person. */
export class PullFault extends Error {
  override name = 'PullFault';
}

/** Names of files that are not whole yet begin so; leftovers of a killed program are removed on opening. */
export const PULLING_PREFIX = '.pulling-';

/** Left free on the disk, so that the journal can always be written. */
const SPARE_BYTES = 4_000_000;

export type PullRequest = {
  camera: Pick<Camera, 'pull'>;
  frame: FrameOnCamera;
  shootFolder: string;
  /** Where in the shoot it goes, relative: "attempts/007". */
  into: string;
  /** Paths that the journal already knows; a file of another name is a leftover of a killed program. */
  known: ReadonlySet<string>;
  /** The wanted name; the camera's own, made safe, when left out. */
  name?: string;
  progress(bytes: number, total: number): void;
  signal: AbortSignal;
};

/**
 * Brings one frame into the shoot: under a temporary name, flushed, size and SHA-256 taken, then renamed without ever
 * replacing a file. Its journal entry comes after, from the caller.
 * @throws PullFault, CameraFault; no file then stands under a whole name
 */
export const pullFrame = async (request: PullRequest): Promise<ShootFile> => {
  const {camera, frame, shootFolder, into, progress, signal} = request;
  const folder = safePath(shootFolder, into);
  const shown = plainText(frame.name).slice(0, 80).toWellFormed();
  let temporary: string | null = null;
  try {
    await makeInside(shootFolder, into);
    await refuseFullDisk(folder, frame, shown);
    const name = safeName(request.name ?? frame.name);
    temporary = path.join(folder, `${PULLING_PREFIX}${name}`);
    await rm(temporary, {force: true});
    let told = 0;
    const follow = (bytes: number, total: number): void => {
      told = total;
      progress(bytes, total);
    };
    await camera.pull(frame, temporary, follow, signal);
    const bytes = await flushed(temporary);
    // Where the camera didn't tell the size beforehand, it told it on the way; a disk that fills up may cut a file short.
    const wanted = frame.bytes ?? (told > 0 ? told : bytes);
    if (bytes === 0 || bytes !== wanted) {
      throw new PullFault(`${shown} came through with ${bytes} of ${wanted} bytes; it is still on the camera.`);
    }
    const sha256 = await fileSha256(temporary);
    const placed = await place(request, folder, temporary, name, sha256);
    return {
      path: `${into}/${placed}`,
      nameOnCamera: plainText(frame.name).slice(0, 400).toWellFormed(),
      kind: frame.kind,
      bytes,
      sha256,
    };
  } catch (error) {
    if (temporary) await rm(temporary, {force: true}).catch(() => undefined);
    throw await told(error, folder, shown);
  }
};

const refuseFullDisk = async (folder: string, {bytes}: FrameOnCamera, shown: string): Promise<void> => {
  const free = await freeBytes(folder);
  const needed = (bytes ?? 0) + SPARE_BYTES;
  if (free !== null && free < needed) {
    throw new PullFault(
      `${shown} needs ${byteSize(bytes ?? SPARE_BYTES)} and the disk has ${byteSize(free)} left; free some space, it is still on the camera.`,
    );
  }
};

/** Flushes the file and returns its size. */
const flushed = async (file: string): Promise<number> => {
  const handle = await open(file, 'r+');
  try {
    await syncFile(handle);
    return (await handle.stat()).size;
  } finally {
    await handle.close();
  }
};

/** SHA-256 of a file as 64 hex digits. */
export const fileSha256 = async (file: string): Promise<string> => {
  const hash = createHash('sha256');
  for await (const chunk of createReadStream(file, {highWaterMark: 1 << 20})) hash.update(chunk as Buffer);
  return hash.digest('hex');
};

/** Gives the whole file its name, or the next free one. Returns the name. */
const place = async (
  {into, known}: PullRequest,
  folder: string,
  temporary: string,
  wanted: string,
  sha256: string,
): Promise<string> => {
  const taken = new Map((await readdir(folder)).map(name => [sameNameKey(name), name]));
  for (const name of nameChoices(wanted)) {
    const there = taken.get(sameNameKey(name));
    if (there === undefined && (await renameNew(temporary, path.join(folder, name)))) {
      await syncFolder(folder);
      return name;
    }
    // The same file without an entry: pulled whole just before the program was killed.
    if (there !== undefined && !known.has(`${into}/${there}`) && (await isSame(path.join(folder, there), sha256))) {
      await rm(temporary, {force: true});
      return there;
    }
  }
  throw new PullFault('No name was free.');
};

const isSame = async (file: string, sha256: string): Promise<boolean> =>
  (await stat(file)).isFile() && (await fileSha256(file)) === sha256;

/** Renames unless something has the new name. A link never replaces; where there are none, the lock keeps others out. */
export const renameNew = async (from: string, to: string): Promise<boolean> => {
  try {
    await link(from, to);
    await rm(from, {force: true});
    return true;
  } catch (error) {
    if (errorCode(error) === 'EEXIST') return false;
    if (!['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK', 'EACCES'].includes(errorCode(error))) throw error;
  }
  const there = await stat(to).catch(() => null);
  if (there) return false;
  await rename(from, to);
  return true;
};

/** The fault as a person should hear it: a full disk explains whatever the camera's program said. */
const told = async (error: unknown, folder: string, shown: string): Promise<unknown> => {
  if (error instanceof PullFault) return error;
  const cut = error instanceof CameraFault && error.reason === 'stopped';
  const free = cut ? null : await freeBytes(folder);
  if (errorCode(error) === 'ENOSPC' || (free !== null && free < SPARE_BYTES)) {
    return new PullFault(`The disk is full: free some space; ${shown} is still on the camera.`);
  }
  if (error instanceof CameraFault || errorCode(error) === '') return error;
  return new PullFault(`${shown} can't be written into the shoot: ${diskTrouble(error)}; it is still on the camera.`);
};

/** Removes what the pulls of a killed program left half written, and its probe. */
export const removeLeftovers = async (shootFolder: string): Promise<void> => {
  await rm(safePath(shootFolder, '.probe'), {recursive: true, force: true}).catch(() => undefined);
  const attempts = await readdir(safePath(shootFolder, 'attempts')).catch(() => []);
  for (const relative of ['plates/incoming', 'strays', ...attempts.map(name => `attempts/${name}`)]) {
    const folder = safePath(shootFolder, relative);
    const names = await insideReally(shootFolder, folder).then(
      () => readdir(folder),
      () => [],
    );
    for (const name of names.filter(name => name.startsWith(PULLING_PREFIX))) {
      await rm(path.join(folder, name), {force: true}).catch(() => undefined);
    }
  }
};
