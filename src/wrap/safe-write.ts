import {createHash} from 'node:crypto';
import {createReadStream} from 'node:fs';
import {type FileHandle, mkdir, open, rename, rm, stat} from 'node:fs/promises';
import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import {diskTrouble, errorCode, syncFile, syncFolder} from '../shoot/disk.js';
import {fileSha256, renameNew} from '../shoot/pull.js';
import {WrapFault} from './wrap-fault.js';

/** Names of files that are not whole yet begin so. */
export const WRAPPING_PREFIX = '.wrapping-';

const temporaryOf = (file: string): string => path.join(path.dirname(file), WRAPPING_PREFIX + path.basename(file));

/**
 * Makes a folder and those above it that are missing, one by one: asked to make them all, Node tries for ever on a file
 * system that takes no new folder and answers as if the one above were missing.
 * @param folder absolute
 */
export const makeFolders = async (folder: string): Promise<void> => {
  try {
    await mkdir(folder);
  } catch (error) {
    const above = path.dirname(folder);
    if (errorCode(error) === 'ENOENT' && above !== folder) {
      await makeFolders(above);
      await mkdir(folder);
    } else if (!(await stat(folder).catch(() => null))?.isDirectory()) {
      throw error;
    }
  }
};

/** What a copy must turn out to be. */
export type Expected = {bytes: number; sha256: string};

/**
 * Copies a file under a temporary name, flushes it, reads the copy back from the disk, and only then gives it its name.
 * A file that is there already and is the same stays; anything else there stays too, and is a fault.
 * @param from,to absolute
 * @throws WrapFault; the signal's reason when aborted; no partial file then has the name
 */
export const copyVerified = async (
  from: string,
  to: string,
  expected: Expected,
  signal: AbortSignal,
): Promise<void> => {
  signal.throwIfAborted();
  if (await isThere(to, expected)) return;
  if (!(await stat(from).catch(() => null))?.isFile()) {
    throw new WrapFault(
      `${shown(from)} is missing from the shoot. Take that attempt out of the wrap, or bring the file back from a copy.`,
    );
  }
  const temporary = temporaryOf(to);
  try {
    await makeFolders(path.dirname(to));
    await rm(temporary, {force: true});
    await copyBytes(from, temporary, expected, signal);
    if ((await fileSha256(temporary)) !== expected.sha256) {
      throw new WrapFault(
        `${shown(to)} reads back differently from what was written: do not trust that disk, choose another folder.`,
      );
    }
    if (!(await renameNew(temporary, to))) throw somethingElse(to);
    await syncFolder(path.dirname(to));
  } catch (error) {
    await rm(temporary, {force: true}).catch(() => undefined);
    throw told(error, to);
  }
};

/**
 * Writes a document that this program makes, in place of its own earlier version, and reads it back.
 * @returns its size and checksum
 * @throws WrapFault
 */
export const writeDocument = async (file: string, content: string | Uint8Array): Promise<Expected> => {
  const bytes = Buffer.from(content);
  const sha256 = createHash('sha256').update(bytes).digest('hex');
  const temporary = temporaryOf(file);
  try {
    await makeFolders(path.dirname(file));
    await rm(temporary, {force: true});
    const handle = await open(temporary, 'wx');
    try {
      await handle.writeFile(bytes);
      await syncFile(handle);
    } finally {
      await handle.close();
    }
    await renameOver(temporary, file);
    await syncFolder(path.dirname(file));
    if ((await fileSha256(file)) !== sha256) {
      throw new WrapFault(
        `${shown(file)} reads back differently from what was written: do not trust that disk, choose another folder.`,
      );
    }
  } catch (error) {
    await rm(temporary, {force: true}).catch(() => undefined);
    throw told(error, file);
  }
  return {bytes: bytes.length, sha256};
};

/** Renames onto an earlier version. Where the disk can't do that, the earlier one goes first: it can be made again. */
const renameOver = async (from: string, to: string): Promise<void> => {
  try {
    await rename(from, to);
  } catch (error) {
    if (errorCode(error) !== 'EEXIST' || !(await stat(to)).isFile()) throw error;
    await rm(to);
    await rename(from, to);
  }
};

const isThere = async (file: string, expected: Expected): Promise<boolean> => {
  const found = await stat(file).catch(() => null);
  if (!found) return false;
  const isSame = found.isFile() && found.size === expected.bytes && (await fileSha256(file)) === expected.sha256;
  if (!isSame) throw somethingElse(file);
  return true;
};

const copyBytes = async (from: string, to: string, expected: Expected, signal: AbortSignal): Promise<void> => {
  const target: FileHandle = await open(to, 'wx');
  try {
    const hash = createHash('sha256');
    for await (const chunk of createReadStream(from, {highWaterMark: 1 << 20, signal})) {
      hash.update(chunk as Buffer);
      await target.writeFile(chunk as Buffer);
    }
    await syncFile(target);
    if (hash.digest('hex') !== expected.sha256) {
      throw new WrapFault(
        `${shown(from)} in the shoot is not what was pulled from the camera: its checksum differs. ` +
          'Take that attempt out of the wrap, or bring the file back from a copy.',
      );
    }
  } finally {
    await target.close();
  }
};

const shown = (file: string): string => plainText(path.basename(file)).slice(0, 120).toWellFormed();

const somethingElse = (file: string): WrapFault =>
  new WrapFault(`${plainText(file)} is something else already; it is left alone. Choose another folder.`);

const told = (error: unknown, file: string): unknown =>
  errorCode(error) === '' || errorCode(error) === 'ABORT_ERR'
    ? error
    : new WrapFault(`${shown(file)} can't be handed off: ${diskTrouble(error)}. Wrapping again goes on from there.`);
