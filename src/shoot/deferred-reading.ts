import {closeSync, openSync, readSync} from 'node:fs';
import type {JournalEntry} from '../../shared/journal.js';
import type {Reading} from '../../shared/reading.js';
import {readLine} from './journal-line.js';

type MeasuredEntry = Extract<JournalEntry, {kind: 'measured'}>;

export type ReadingShelf = {
  /** @param offset @param length where the entry's line is in the journal, bytes, without its newline */
  entry(measured: {at: string; attempt: number}, offset: number, length: number): MeasuredEntry;
};

/** Readings held at once; older ones are read from the journal again when somebody wants them. */
const SHELF_PLACES = 400;

/**
 * Makes measured entries whose reading is fetched from the journal when it is looked at, so that a long shoot opens fast
 * and in little memory. A reading that can't be fetched any more is null there, although the type says otherwise only
 * for entries: the attempt built from it may have none.
 */
export const readingShelf = (path: string): ReadingShelf => {
  const held = new Map<number, Reading | null>();

  const fetch = (offset: number, length: number): Reading | null => {
    const found = held.get(offset);
    if (found !== undefined) held.delete(offset);
    const reading = found !== undefined ? found : readReading(path, offset, length);
    held.set(offset, reading);
    if (held.size > SHELF_PLACES) held.delete(held.keys().next().value!);
    return reading;
  };

  return {
    entry: ({at, attempt}, offset, length) =>
      Object.defineProperty({v: 1, at, kind: 'measured', attempt} as MeasuredEntry, 'reading', {
        enumerable: true,
        configurable: true,
        get: () => fetch(offset, length),
      }),
  };
};

const readReading = (path: string, offset: number, length: number): Reading | null => {
  try {
    const file = openSync(path, 'r');
    try {
      const bytes = Buffer.alloc(length);
      readSync(file, bytes, 0, length, offset);
      const read = readLine(bytes);
      return read.is === 'entry' && read.entry.kind === 'measured' ? read.entry.reading : null;
    } finally {
      closeSync(file);
    }
  } catch {
    return null;
  }
};
