import {constants, type Stats} from 'node:fs';
import {lstat, open} from 'node:fs/promises';
import {extname, join} from 'node:path';

/** What a file of the folder can be. */
export type FrameKind = 'jpeg' | 'raw';

const jpegEndings = new Set(['.jpg', '.jpeg', '.jpe']);
/** RAW files by their usual endings; an open list: a new one only needs a line. */
const rawEndings = new Set(
  '3fr ari arw bay cr2 cr3 crw dcr dng erf fff gpr iiq k25 kdc mef mos mrw nef nrw orf pef raf raw rw2 rwl sr2 srf srw x3f'
    .split(' ')
    .map(ending => `.${ending}`),
);

/** The kind of frame a name promises; null for hidden, half-written and foreign files. */
export const frameKindOf = (name: string): FrameKind | null => {
  if (name.startsWith('.') || name.startsWith('~')) return null;
  const ending = extname(name).toLowerCase();
  if (jpegEndings.has(ending)) return 'jpeg';
  return rawEndings.has(ending) ? 'raw' : null;
};

/** What RAW and JPEG of one shot have in common: the name without its ending, in small letters. */
export const shotOf = (name: string): string => name.slice(0, name.length - extname(name).length).toLowerCase();

/** Whether a name could lead out of the folder. */
export const leavesFolder = (name: string): boolean =>
  name === '' || name === '.' || name === '..' || /[/\\\u0000]/.test(name);

/**
 * Facts of a plain file of the folder; null where there is none, or where the name is a link (which may lead anywhere),
 * a folder or a pipe.
 */
export const plainFileOf = async (folder: string, name: string): Promise<Stats | null> => {
  if (leavesFolder(name)) return null;
  const facts = await lstat(join(folder, name)).catch(() => null);
  return facts?.isFile() ? facts : null;
};

const HEAD = 1024 * 1024;
const TAIL = 256 * 1024;

/** Offset behind the first start-of-scan marker, or null where the head holds none. Source: ITU-T T.81, B.1. */
const scanStart = (head: Buffer): number | null => {
  if (head.length < 4 || head.readUInt16BE(0) !== 0xffd8) return null;
  let at = 2;
  while (at + 4 <= head.length) {
    if (head[at] !== 0xff) return null;
    const marker = head[at + 1]!;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker === 0xda) return at + 2;
    at += 2 + head.readUInt16BE(at + 2);
  }
  return null;
};

/**
 * Whether a JPEG is all there: it begins as one and its end marker follows the picture's data (a thumbnail's own end
 * marker, which comes before, doesn't count).
 */
export const jpegIsWhole = async (path: string): Promise<boolean> => {
  const file = await open(path, constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0)).catch(() => null);
  if (!file) return false;
  try {
    const {size} = await file.stat();
    const head = Buffer.alloc(Math.min(HEAD, size));
    await file.read(head, 0, head.length, 0);
    const start = scanStart(head);
    if (start === null) return false;
    const from = Math.max(start, size - TAIL);
    const tail = Buffer.alloc(Math.max(0, size - from));
    await file.read(tail, 0, tail.length, from);
    return tail.lastIndexOf(Buffer.from([0xff, 0xd9])) >= 0;
  } catch {
    return false;
  } finally {
    await file.close();
  }
};
