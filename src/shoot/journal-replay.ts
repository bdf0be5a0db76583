import {type FileHandle, open} from 'node:fs/promises';
import type {JournalEntry} from '../../shared/journal.js';
import {READ_AT_ONCE} from '../frame/short-text.js';
import {type ReadingShelf, readingShelf} from './deferred-reading.js';
import {lineReader} from './journal-line.js';

/** What replaying a journal came upon besides its entries. Offsets and lengths in bytes. */
export type ReplayFindings = {
  entries: number;
  damaged: {line: number; offset: number; length: number}[];
  /** Entries of kinds or versions that a newer program wrote; they stay and are passed over. */
  newer: number;
  /** Set when the shoot itself was begun in a form newer than ours: its version. */
  begunInVersion: number | null;
  /** The piece after the last newline, if any: `whole` when it is an entry that lacks its newline only. */
  tail: {offset: number; length: number; whole: boolean} | null;
};

const CHUNK_BYTES = 1 << 20;
/** No entry of ours comes near this; a longer line is not one, and is never held in memory. */
const LONGEST_LINE_BYTES = 8 << 20;

/**
 * Reads a journal from its start, calling back for every entry in order. Holds one chunk and one line at a time.
 * Readings of measured entries are parsed when they are first looked at.
 * @throws the system's error when the file can't be read
 */
export const replayJournal = async (
  path: string,
  onEntry: (entry: JournalEntry) => void,
  shelf: ReadingShelf = readingShelf(path),
): Promise<ReplayFindings> => {
  const read = lineReader();
  const findings: ReplayFindings = {entries: 0, damaged: [], newer: 0, begunInVersion: null, tail: null};
  let number = 0;

  /** @returns whether the line could be understood, also as a newer one */
  const take = (line: Buffer | null, offset: number): boolean => {
    const found = line === null ? ({is: 'damaged'} as const) : read(line);
    if (found.is === 'damaged') return false;
    if (found.is === 'newer') {
      findings.newer += 1;
      if (found.kind === 'shoot-begun') findings.begunInVersion = found.version;
      return true;
    }
    findings.entries += 1;
    onEntry(found.is === 'entry' ? found.entry : shelf.entry(found, offset, line!.length));
    return true;
  };

  const handle = await open(path, READ_AT_ONCE);
  try {
    await eachLine(handle, ({line, offset, length, ended}) => {
      number += 1;
      if (length === 0) return;
      const understood = take(line, offset);
      if (!ended) findings.tail = {offset, length, whole: understood};
      else if (!understood) findings.damaged.push({line: number, offset, length});
    });
  } finally {
    await handle.close();
  }
  return findings;
};

type RawLine = {
  /** Valid during the call only; null when it is longer than any entry. */
  line: Buffer | null;
  offset: number;
  length: number;
  /** Whether a newline ends it; only a file's last line may lack one. */
  ended: boolean;
};

/** Calls back for the lines of a file in order. */
const eachLine = async (handle: FileHandle, take: (line: RawLine) => void): Promise<void> => {
  const chunk = Buffer.allocUnsafe(CHUNK_BYTES);
  /** The start of a line whose end is in a later chunk. */
  let begun: Buffer[] = [];
  let begunLength = 0;
  let offset = 0;

  const finish = (rest: Buffer, ended: boolean): void => {
    const length = begunLength + rest.length;
    const line = length > LONGEST_LINE_BYTES ? null : begunLength > 0 ? Buffer.concat([...begun, rest]) : rest;
    take({line, offset, length, ended});
    offset += length + 1;
    begun = [];
    begunLength = 0;
  };

  for (let position = 0; ; ) {
    const {bytesRead} = await handle.read(chunk, 0, CHUNK_BYTES, position);
    if (bytesRead === 0) break;
    position += bytesRead;
    const part = chunk.subarray(0, bytesRead);
    let from = 0;
    for (let end = part.indexOf(10); end >= 0; end = part.indexOf(10, from)) {
      finish(part.subarray(from, end), true);
      from = end + 1;
    }
    if (from === bytesRead) continue;
    begunLength += bytesRead - from;
    if (begunLength <= LONGEST_LINE_BYTES) begun.push(Buffer.from(part.subarray(from)));
    else begun = [];
  }
  if (begunLength > 0) finish(Buffer.alloc(0), false);
};
