import {createHash} from 'node:crypto';
import {openSync} from 'node:fs';
import {type FileHandle, open, rm} from 'node:fs/promises';
import type {Answer} from '../messages.js';
import {stableMemory} from './bindings.js';
import {describe} from './card.js';
import type {Connection} from './connection.js';
import {CODE, LibraryFault} from './fault.js';

const BLOCK_BYTES = 1 << 20;
/** GP_FILE_TYPE_NORMAL: the picture itself, not its thumbnail. */
const PICTURE = 1;

export type Pull = {
  folder: string;
  name: string;
  /** Where to write; must not exist. */
  path: string;
  signal: AbortSignal;
  inTurn<Result>(work: () => Promise<Result>): Promise<Result>;
  progress(bytes: number, total: number): void;
};

/** Turns what the disk says into a fault of its own kind. */
const disk = <Result>(work: Promise<Result>): Promise<Result> =>
  work.catch((error: unknown) => {
    const said = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    throw new LibraryFault(CODE.disk, said, false);
  });

const goOn = (signal: AbortSignal): void => {
  if (signal.aborted) throw new LibraryFault(CODE.cancelled, 'Stopped', false);
};

const writeAll = async (file: FileHandle, bytes: Buffer, at: number): Promise<void> => {
  for (let done = 0; done < bytes.length; ) {
    const {bytesWritten} = await disk(file.write(bytes, done, bytes.length - done, at + done));
    done += bytesWritten;
  }
};

/** What lies on the disk now. */
const onDisk = async (file: FileHandle): Promise<Answer<'pull'>> => {
  const hash = createHash('sha256');
  let bytes = 0;
  for await (const block of file.createReadStream({autoClose: false, start: 0, highWaterMark: BLOCK_BYTES})) {
    hash.update(block);
    bytes += block.length;
  }
  return {bytes, sha256: hash.digest('hex')};
};

/** Reads block by block: that gives progress, and a place to stop. While one block comes, the last is written. */
const inBlocks = async (
  connection: Connection,
  pull: Pull,
  file: FileHandle,
  total: number,
): Promise<Answer<'pull'>> => {
  const {library, context, camera} = connection.opened;
  const memories = [stableMemory(BLOCK_BYTES), stableMemory(BLOCK_BYTES)] as const;
  const hash = createHash('sha256');
  let writing: Promise<void> = Promise.resolve();
  let at = 0;
  try {
    for (let turn = 0; at < total; turn += 1) {
      goOn(pull.signal);
      const memory = memories[turn % 2 === 0 ? 0 : 1];
      const wanted = Math.min(BLOCK_BYTES, total - at);
      const size = [wanted];
      await pull.inTurn(() =>
        connection.call(() =>
          library.fileRead(camera, pull.folder, pull.name, PICTURE, at, memory.pointer, size, context),
        ),
      );
      const got = Number(size[0]);
      if (got <= 0 || got > wanted) break;
      await writing;
      const block = memory.bytes.subarray(0, got);
      writing = writeAll(file, block, at);
      writing.catch(() => undefined);
      hash.update(block);
      at += got;
      pull.progress(at, total);
    }
    await writing;
    return {bytes: at, sha256: hash.digest('hex')};
  } finally {
    await writing.catch(() => undefined);
    for (const memory of memories) memory.free();
  }
};

/** For drivers that can't read in blocks: the library writes the whole file to a descriptor of its own. */
const inOneGo = async (
  connection: Connection,
  pull: Pull,
  file: FileHandle,
  total: number,
): Promise<Answer<'pull'>> => {
  const {library, context, camera} = connection.opened;
  const target = connection.pointerFrom(into => library.fileOnDescriptor(into, openSync(pull.path, 'r+')));
  const watch = setInterval(() => {
    void file.stat().then(
      ({size}) => pull.progress(Math.min(size, total), total),
      () => undefined,
    );
  }, 200);
  try {
    await pull.inTurn(() =>
      connection.call(() => library.fileGet(camera, pull.folder, pull.name, PICTURE, target, context)),
    );
  } finally {
    clearInterval(watch);
    library.fileUnref(target);
  }
  goOn(pull.signal);
  const written = await disk(onDisk(file));
  pull.progress(written.bytes, total);
  return written;
};

/**
 * Brings one file from the card to the disk. A pull that fails leaves nothing behind.
 * @returns how many bytes came, and the SHA-256 of what the camera sent
 * @throws LibraryFault
 */
export const pullFile = async (connection: Connection, pull: Pull): Promise<Answer<'pull'>> => {
  const {bytes: total} = await pull.inTurn(() => describe(connection, pull.folder, pull.name));
  if (total === null) throw new LibraryFault(CODE.fileNotFound, 'No such file on the card', false);
  const file = await disk(open(pull.path, 'wx+'));
  let kept = false;
  try {
    const pulled = await inBlocks(connection, pull, file, total).catch(fault => {
      if (fault instanceof LibraryFault && fault.code === CODE.notSupported) {
        return inOneGo(connection, pull, file, total);
      }
      throw fault;
    });
    if (pulled.bytes !== total) {
      throw new LibraryFault(CODE.fileNotFound, `Got ${pulled.bytes} of ${total} bytes`, false);
    }
    await disk(file.sync());
    const written = await disk(onDisk(file));
    if (written.sha256 !== pulled.sha256) {
      throw new LibraryFault(CODE.fileNotFound, 'The disk holds other bytes than the camera sent', false);
    }
    kept = true;
    return pulled;
  } finally {
    await file.close();
    if (!kept) await rm(pull.path, {force: true});
  }
};
