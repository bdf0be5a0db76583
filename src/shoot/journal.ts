import {type FileHandle, open, stat} from 'node:fs/promises';
import path from 'node:path';
import {type JournalEntry, type JournalEvent, journalEntrySchema} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import {type ReadingShelf, readingShelf} from './deferred-reading.js';
import {diskTrouble, errorCode, syncFile, syncFolder} from './disk.js';
import {printLine} from './journal-line.js';
import {type ReplayFindings, replayJournal} from './journal-replay.js';
import {plainDeep} from './plain-deep.js';
import {setAside} from './set-aside.js';
import {ShootFault} from './shoot-fault.js';

/** The journal can't be read or written; one sentence for a person. What was in it stays in it. */
export class JournalFault extends Error {
  override name = 'JournalFault';
}

/** The shoot's journal: JSON lines, the only truth. Every append is on the disk before it resolves. */
export type Journal = {
  /** What was found on opening that a person should know, each a sentence. */
  findings: string[];
  /**
   * Stamps an event with version and time, appends it and flushes it.
   * @throws JournalFault; the journal is then as it was
   */
  append(event: JournalEvent): Promise<JournalEntry>;
  close(): Promise<void>;
};

/**
 * Opens a journal, creating it where there is none, and replays it. A torn last line is moved to the side file and cut
 * off; a damaged line in the middle is copied there and passed over.
 * @param onEntry called for every entry in order, before this resolves
 * @param now the wall clock, for the entries' time
 * @throws JournalFault, or ShootFault when a newer program made the shoot
 */
export const openJournal = async (
  file: string,
  onEntry: (entry: JournalEntry) => void,
  now: () => Date,
): Promise<Journal> => {
  let handle: FileHandle;
  try {
    handle = await open(file, 'a+', 0o644);
    await syncFolder(path.dirname(file));
  } catch (error) {
    throw new JournalFault(`The journal ${plainText(file)} can't be opened: ${diskTrouble(error)}.`);
  }
  try {
    const shelf = readingShelf(file);
    const found = await replayJournal(file, onEntry, shelf);
    if (found.begunInVersion !== null) throw tooNew(file, found.begunInVersion);
    const findings = await mend(handle, file, found);
    return writer(handle, file, {findings, shelf, now});
  } catch (error) {
    await handle.close().catch(() => undefined);
    if (errorCode(error) === '') throw error;
    throw new JournalFault(`The journal ${plainText(file)} can't be read: ${diskTrouble(error)}.`);
  }
};

/** For a shoot that a newer program made. */
export const tooNew = (file: string, version: number): ShootFault =>
  new ShootFault(
    `The shoot in ${plainText(path.dirname(file))} was made by a newer version of this program (form ${version}, this one ` +
      'knows 1); open it with that version.',
  );

/** Makes the end of the journal fit for appending and keeps what isn't an entry. Returns what to say about it. */
const mend = async (handle: FileHandle, file: string, found: ReplayFindings): Promise<string[]> => {
  const sayings: string[] = [];
  const side = `${path.basename(file)}.set-aside`;
  for (const {line, offset, length} of found.damaged) await setAside(file, {line, offset, length});
  if (found.damaged.length > 0) {
    const which = found.damaged.map(({line}) => line);
    const many = which.length > 1;
    sayings.push(
      `${many ? 'Lines' : 'Line'} ${listed(which)} of the journal ${many ? 'are' : 'is'} damaged; ` +
        `${many ? 'they are' : 'it is'} passed over, and a copy is in ${side}.`,
    );
  }
  if (found.tail && !found.tail.whole) {
    await setAside(file, {line: null, ...found.tail});
    await handle.truncate(found.tail.offset);
    await syncFile(handle);
    sayings.push(`The journal's last line was torn, as after a power cut; it was moved to ${side}.`);
  } else if (found.tail) {
    await handle.write('\n');
    await syncFile(handle);
  }
  if (found.newer > 0) {
    sayings.push(
      `${found.newer} ${found.newer > 1 ? 'entries' : 'entry'} of the journal came from a newer version of this program; ` +
        'kept as they are and passed over.',
    );
  }
  return sayings;
};

const listed = (numbers: number[]): string =>
  numbers.length > 6 ? `${numbers.slice(0, 6).join(', ')} and ${numbers.length - 6} more` : numbers.join(', ');

const writer = (
  handle: FileHandle,
  file: string,
  {findings, shelf, now}: {findings: string[]; shelf: ReadingShelf; now: () => Date},
): Journal => {
  let last: Promise<unknown> = Promise.resolve();
  let closed = false;

  const write = async (event: JournalEvent): Promise<JournalEntry> => {
    if (closed) throw new JournalFault(`The journal ${plainText(file)} is closed; open the shoot again.`);
    const checked = journalEntrySchema.safeParse(plainDeep({v: 1, at: now().toISOString(), ...event}));
    if (!checked.success) {
      throw new JournalFault(
        'The journal can’t take that: a text in it is too long, or a value is impossible; nothing was written.',
      );
    }
    const entry = checked.data;
    try {
      const before = await ours(handle, file);
      const line = printLine(entry);
      await appendWhole(handle, line, before);
      // A long evening's readings need not all be held in memory.
      if (entry.kind === 'measured') return shelf.entry(entry, before, line.length - 1);
    } catch (error) {
      throw new JournalFault(
        `The journal ${plainText(file)} can't be written, so nothing new is remembered: ${diskTrouble(error)}.`,
      );
    }
    return entry;
  };

  return {
    findings,
    append(event) {
      const done = last.then(() => write(event));
      last = done.catch(() => undefined);
      return done;
    },
    async close() {
      await last;
      if (closed) return;
      closed = true;
      await handle.close();
    },
  };
};

/**
 * Makes sure that what is open is still the file of that name: a disk may be taken away, or another program may put a copy
 * in the journal's place, and what is written then would be seen by nobody.
 * @returns its size in bytes
 */
const ours = async (handle: FileHandle, file: string): Promise<number> => {
  const [open, named] = await Promise.all([handle.stat(), stat(file)]);
  if (open.ino !== named.ino || open.dev !== named.dev) throw Object.assign(new Error(), {code: 'REPLACED'});
  return open.size;
};

/** Writes and flushes all of a line, or cuts the file back to what it was and rejects. */
const appendWhole = async (handle: FileHandle, bytes: Buffer, before: number): Promise<void> => {
  try {
    for (let written = 0; written < bytes.length; ) {
      const {bytesWritten} = await handle.write(bytes, written, bytes.length - written);
      written += bytesWritten;
    }
    await syncFile(handle);
  } catch (error) {
    await handle.truncate(before).catch(() => undefined);
    throw error;
  }
};
