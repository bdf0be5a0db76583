import {open, readFile, stat} from 'node:fs/promises';
import {syncFile} from './disk.js';

const CHUNK_BYTES = 1 << 20;
/** A side file larger than this is not searched for a copy that is already there. */
const SEARCHED_BYTES = 16 << 20;

/**
 * Copies a piece of the journal to the file beside it, so that it is never lost. A damaged line stays in the journal and
 * is met at every opening: it is copied once.
 */
export const setAside = async (
  file: string,
  {line, offset, length}: {line: number | null; offset: number; length: number},
): Promise<void> => {
  const side = `${file}.set-aside`;
  const source = await open(file, 'r');
  try {
    if (line !== null && (await holds(side, source, offset, length))) return;
    const target = await open(side, 'a', 0o644);
    try {
      const chunk = Buffer.allocUnsafe(Math.min(length, CHUNK_BYTES));
      for (let done = 0; done < length; ) {
        const {bytesRead} = await source.read(chunk, 0, Math.min(chunk.length, length - done), offset + done);
        if (bytesRead === 0) break;
        await target.appendFile(chunk.subarray(0, bytesRead));
        done += bytesRead;
      }
      await target.appendFile('\n');
      await syncFile(target);
    } finally {
      await target.close();
    }
  } finally {
    await source.close();
  }
};

const holds = async (
  side: string,
  source: {read(buffer: Buffer, at: number, length: number, position: number): Promise<unknown>},
  offset: number,
  length: number,
): Promise<boolean> => {
  const size = await stat(side).then(
    found => found.size,
    () => 0,
  );
  if (size === 0 || size > SEARCHED_BYTES || length > SEARCHED_BYTES) return size > SEARCHED_BYTES;
  const piece = Buffer.alloc(length);
  await source.read(piece, 0, length, offset);
  return (await readFile(side)).includes(piece);
};
