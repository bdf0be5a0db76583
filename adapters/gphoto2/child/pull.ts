import {openSync} from 'node:fs';
import {type FileHandle, open, rm} from 'node:fs/promises';
import {flushFile} from '../../flush.js';
import {type StableMemory, stableMemory} from './bindings.js';
import {describe} from './card.js';
import type {Connection} from './connection.js';
import {CODE, LibraryFault} from './fault.js';

/** A block takes about this long, whatever the connection: short enough to show progress and to stop. */
const BLOCK_SECONDS = 0.15;
const FIRST_BLOCK_BYTES = 1 << 20;
/** On a slow connection blocks shrink to this. */
const LEAST_BLOCK_BYTES = 1 << 18;
const LARGEST_BLOCK_BYTES = 1 << 22;
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

const nextBlock = (bytes: number, seconds: number): number => {
  const wanted = seconds > 0 ? (bytes / seconds) * BLOCK_SECONDS : LARGEST_BLOCK_BYTES;
  const grown = Math.min(wanted, bytes * 4, LARGEST_BLOCK_BYTES);
  return Math.max(LEAST_BLOCK_BYTES, Math.floor(grown / LEAST_BLOCK_BYTES) * LEAST_BLOCK_BYTES);
};

/** Writes a block, and reads it back into `check` to see that it is there. */
const writeBlock = async (file: FileHandle, block: Buffer, at: number, check: Buffer): Promise<void> => {
  for (let done = 0; done < block.length; ) {
    const {bytesWritten} = await disk(file.write(block, done, block.length - done, at + done));
    done += bytesWritten;
  }
  const {bytesRead} = await disk(file.read(check, 0, block.length, at));
  if (bytesRead !== block.length || !check.subarray(0, bytesRead).equals(block)) {
    throw new LibraryFault(CODE.disk, 'The disk does not hold what was written', false);
  }
};

/**
 * Reads block by block: that gives progress, and a place to stop. While one block comes, the one before it is written;
 * each has its own of two places in memory.
 */
const inBlocks = async (connection: Connection, pull: Pull, file: FileHandle, total: number): Promise<number> => {
  const {library, context, camera} = connection.opened;
  const room = Math.min(LARGEST_BLOCK_BYTES, total);
  const memories = [stableMemory(room), stableMemory(room)] as const;
  const check = Buffer.allocUnsafe(room);
  let blockBytes = FIRST_BLOCK_BYTES;
  let writing: Promise<void> = Promise.resolve();
  let settling: Promise<void> | null = null;

  /** Lets the disk work while more comes, so that little is left to wait for at the end. */
  const settle = (): void => {
    settling ??= file
      .datasync()
      .catch(() => undefined)
      .then(() => {
        settling = null;
      });
  };

  const read = async (at: number, memory: StableMemory): Promise<Buffer> => {
    goOn(pull.signal);
    const wanted = Math.min(blockBytes, total - at);
    const size = [wanted];
    const begun = performance.now();
    await pull.inTurn(() =>
      connection.call(() =>
        library.fileRead(camera, pull.folder, pull.name, PICTURE, at, memory.pointer, size, context),
      ),
    );
    const got = Number(size[0]);
    if (got <= 0 || got > wanted) throw new LibraryFault(CODE.fileNotFound, `Got ${at} of ${total} bytes`, false);
    blockBytes = nextBlock(got, (performance.now() - begun) / 1000);
    return memory.bytes.subarray(0, got);
  };

  try {
    let at = 0;
    for (let turn = 0; at < total; turn += 1) {
      const block = await read(at, memories[turn % 2 === 0 ? 0 : 1]);
      await writing;
      writing = writeBlock(file, block, at, check).then(settle);
      // Looked at with the next block; until then it is nobody's.
      writing.catch(() => undefined);
      at += block.length;
      pull.progress(at, total);
    }
    await writing;
    return at;
  } finally {
    await writing.catch(() => undefined);
    await settling;
    for (const memory of memories) memory.free();
  }
};

/** For drivers that can't read in blocks: the library writes the whole file to a descriptor of its own. */
const inOneGo = async (connection: Connection, pull: Pull, file: FileHandle, total: number): Promise<number> => {
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
  const {size} = await disk(file.stat());
  pull.progress(size, total);
  return size;
};

/**
 * Brings one file from the card to the disk. A pull that fails leaves nothing behind.
 * @returns how many bytes came
 * @throws LibraryFault
 */
export const pullFile = async (connection: Connection, pull: Pull): Promise<number> => {
  const {bytes: total} = await pull.inTurn(() => describe(connection, pull.folder, pull.name));
  if (total === null) throw new LibraryFault(CODE.fileNotFound, 'No such file on the card', false);
  const file = await disk(open(pull.path, 'wx+'));
  let kept = false;
  try {
    const bytes = await inBlocks(connection, pull, file, total).catch(fault => {
      if (fault instanceof LibraryFault && fault.code === CODE.notSupported) {
        return inOneGo(connection, pull, file, total);
      }
      throw fault;
    });
    if (bytes !== total) throw new LibraryFault(CODE.fileNotFound, `Got ${bytes} of ${total} bytes`, false);
    await disk(flushFile(file));
    kept = true;
    return bytes;
  } finally {
    await file.close();
    if (!kept) await rm(pull.path, {force: true});
  }
};
