import {appendFile, mkdir, readFile, rm, stat, truncate, writeFile} from 'node:fs/promises';
import path from 'node:path';
import fc from 'fast-check';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import type {JournalEntry, JournalEvent} from '../../shared/journal.js';
import {foldShoot} from '../../src/shoot/fold.js';
import {JournalFault, openJournal} from '../../src/shoot/journal.js';
import {printLine} from '../../src/shoot/journal-line.js';
import {anyEvent, goodReading, shortEvening} from './entries.js';
import {temporaryFolder} from './fakes.js';

const now = (): Date => new Date('2026-11-25T20:00:00Z');
let folder: string;
let remove: () => Promise<void>;
let file: string;

beforeEach(async () => {
  ({folder, remove} = await temporaryFolder());
  file = path.join(folder, 'shoot.jsonl');
});
afterEach(async () => remove());

const write = async (events: JournalEvent[]): Promise<void> => {
  const journal = await openJournal(file, () => undefined, now);
  for (const event of events) await journal.append(event);
  await journal.close();
};

const read = async (): Promise<{entries: JournalEntry[]; findings: string[]}> => {
  const entries: JournalEntry[] = [];
  const journal = await openJournal(file, entry => entries.push(entry), now);
  await journal.close();
  return {entries, findings: journal.findings};
};

const withoutStamp = ({v, at, ...event}: JournalEntry): JournalEvent => event as JournalEvent;

describe('the journal', () => {
  it('gives back what was appended, stamped with version and time', async () => {
    await write(shortEvening());
    const {entries, findings} = await read();
    expect(entries.map(withoutStamp)).toEqual(shortEvening());
    expect(entries.every(({v, at}) => v === 1 && at === '2026-11-25T20:00:00.000Z')).toBe(true);
    expect(findings).toEqual([]);
  });

  it('is plain JSON lines, readable without this program', async () => {
    await write(shortEvening());
    const lines = (await readFile(file, 'utf8')).trimEnd().split('\n');
    expect(lines.map(line => (JSON.parse(line) as JournalEntry).kind)).toEqual(shortEvening().map(({kind}) => kind));
  });

  it('puts every appended entry on the disk before it resolves', async () => {
    const journal = await openJournal(file, () => undefined, now);
    for (const event of shortEvening(1)) {
      const before = (await stat(file)).size;
      const entry = await journal.append(event);
      expect((await stat(file)).size).toBe(before + printLine(entry).length);
    }
    await journal.close();
  });

  it('keeps the order of entries that are appended at once', async () => {
    const journal = await openJournal(file, () => undefined, now);
    await Promise.all(Array.from({length: 50}, (_, at) => journal.append({kind: 'noted', attempt: 1, text: `${at}`})));
    await journal.close();
    const texts = (await read()).entries.map(entry => (entry.kind === 'noted' ? entry.text : ''));
    expect(texts).toEqual(Array.from({length: 50}, (_, at) => `${at}`));
  });

  it('lets no control character, escape sequence or mark of direction in, whoever sent it', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(anyEvent(), {maxLength: 8}), async events => {
        await rm(file, {force: true});
        await write(events);
        const {entries} = await read();
        expect(entries).toHaveLength(events.length);
        expect(JSON.stringify(entries)).not.toMatch(
          /\\u00[01]|\\u007f|\\u00[89]|\\[bfnrt]|[\u202a-\u202e\u2066-\u2069]/,
        );
      }),
      {numRuns: 60},
    );
  });

  it('does not let hostile text out of a line that another program wrote', async () => {
    const line = '{"v":1,"at":"now","kind":"noted","attempt":1,"text":"\\u001b]0;owned\\u0007 \u202e"}\n';
    await writeFile(file, line);
    expect((await read()).entries[0]).toMatchObject({text: ' ]0;owned   '});
  });
});

describe('a journal that was cut off', () => {
  it('opens from any prefix, with every whole entry before the cut and the rest set aside', async () => {
    await write(shortEvening(2));
    const whole = await readFile(file);
    const starts = [0];
    for (let at = whole.indexOf(10); at >= 0; at = whole.indexOf(10, at + 1)) starts.push(at + 1);
    const events = shortEvening(2);
    await fc.assert(
      fc.asyncProperty(fc.nat({max: whole.length}), async length => {
        await writeFile(file, whole.subarray(0, length));
        await rm(`${file}.set-aside`, {force: true});
        // A line that lacks only its newline is whole.
        const wholeLines = starts.filter(start => start > 0 && start - 1 <= length).length;
        const torn = whole.subarray(starts[wholeLines]!, length);
        const {entries, findings} = await read();
        expect(entries.map(withoutStamp)).toEqual(events.slice(0, wholeLines));
        expect(findings).toHaveLength(torn.length > 0 ? 1 : 0);
        if (torn.length > 0) {
          expect(findings[0]).toContain('torn');
          expect(await readFile(`${file}.set-aside`)).toEqual(Buffer.concat([torn, Buffer.from('\n')]));
        }
        // What is appended next is an entry of its own.
        await write([{kind: 'noted', attempt: 1, text: 'after'}]);
        expect((await read()).entries.map(withoutStamp)).toEqual([
          ...events.slice(0, wholeLines),
          {kind: 'noted', attempt: 1, text: 'after'},
        ]);
      }),
      {numRuns: 80},
    );
  });

  it('opens with any torn tail, and keeps those bytes in a file beside it', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({minLength: 1, maxLength: 300}), async tail => {
        await rm(`${file}.set-aside`, {force: true});
        await rm(file, {force: true});
        await write(shortEvening(1));
        const before = await readFile(file);
        await appendFile(file, tail);
        const {entries} = await read();
        expect(entries.map(withoutStamp)).toEqual(shortEvening(1));
        const kept = Buffer.concat([
          await readFile(file),
          await readFile(`${file}.set-aside`).catch(() => Buffer.alloc(0)),
        ]);
        expect(kept.includes(before)).toBe(true);
        for (const piece of Buffer.from(tail).toString('latin1').split('\n'))
          expect(kept.includes(Buffer.from(piece, 'latin1'))).toBe(true);
      }),
      {numRuns: 60},
    );
  });

  it('is not stopped by a tail of NULs, as some file systems leave after a power cut', async () => {
    await write(shortEvening(1));
    const {size} = await stat(file);
    await truncate(file, size + 5000);
    expect((await read()).entries).toHaveLength(shortEvening(1).length);
    expect((await stat(file)).size).toBe(size);
  });
});

describe('a journal with a damaged line', () => {
  it('passes over it, says which, keeps a copy once and leaves the line where it is', async () => {
    await write(shortEvening());
    const lines = (await readFile(file, 'utf8')).split('\n');
    const bent = lines[6]!.replace('"kind"', '"kimd"');
    await writeFile(file, [...lines.slice(0, 6), bent, ...lines.slice(7)].join('\n'));

    const {entries, findings} = await read();
    const events = shortEvening();
    expect(entries.map(withoutStamp)).toEqual([...events.slice(0, 6), ...events.slice(7)]);
    expect(findings).toEqual([
      'Line 7 of the journal is damaged; it is passed over, and a copy is in shoot.jsonl.set-aside.',
    ]);
    await read();
    expect(await readFile(`${file}.set-aside`, 'utf8')).toBe(`${bent}\n`);
    expect(await readFile(file, 'utf8')).toContain(bent);
  });

  it('notices any changed byte of an entry, also where it still parses, also inside a reading', async () => {
    await write(shortEvening(1));
    const whole = await readFile(file);
    await fc.assert(
      fc.asyncProperty(fc.nat({max: whole.length - 1}), fc.integer({min: 1, max: 255}), async (at, flip) => {
        fc.pre(whole[at] !== 10 && (whole[at]! ^ flip) !== 10);
        const bent = Buffer.from(whole);
        bent[at]! ^= flip;
        // The mark by which the sum is found may be hit itself; the line is then read without one, by its form.
        const line = bent.subarray(bent.lastIndexOf(10, at - 1) + 1, bent.indexOf(10, at));
        fc.pre(/,"crc":"[0-9a-f]{8}"\}$/.test(line.toString('latin1')));
        await writeFile(file, bent);
        const {entries} = await read();
        expect(entries).toHaveLength(shortEvening(1).length - 1);
      }),
      {numRuns: 80},
    );
  });

  it('keeps kinds of entries that it does not know and passes over them', async () => {
    await write(shortEvening(1));
    await appendFile(file, '{"v":1,"at":"2030-01-01T00:00:00Z","kind":"hologram-taken","depth":3}\n');
    await appendFile(file, '{"v":2,"at":"2030-01-01T00:00:00Z","kind":"noted","attempt":1,"text":{"html":"x"}}\n');
    await write([{kind: 'noted', attempt: 1, text: 'still here'}]);
    const {entries, findings} = await read();
    expect(entries.map(withoutStamp)).toEqual([...shortEvening(1), {kind: 'noted', attempt: 1, text: 'still here'}]);
    expect(findings).toEqual([
      '2 entries of the journal came from a newer version of this program; kept as they are and passed over.',
    ]);
    expect(await readFile(file, 'utf8')).toContain('hologram-taken');
  });

  it('never holds an absurdly long line in memory', async () => {
    await write(shortEvening(1));
    await appendFile(file, `{"v":1,"text":"${'x'.repeat(12 << 20)}"}\n`);
    await write([{kind: 'noted', attempt: 1, text: 'after'}]);
    expect((await read()).entries).toHaveLength(shortEvening(1).length + 1);
  });
});

describe('a journal that cannot be written', () => {
  it('says so in one sentence when its folder was removed, instead of writing into nothing', async () => {
    const journal = await openJournal(file, () => undefined, now);
    await journal.append({kind: 'shutter-opened', attempt: 1});
    await rm(folder, {recursive: true});
    await expect(journal.append({kind: 'shutter-opened', attempt: 2})).rejects.toThrow(
      /^The journal .* can't be written, so nothing new is remembered: the folder is gone: put it back or plug its disk in again\.$/,
    );
    await journal.close();
    await mkdir(folder, {recursive: true});
  });

  it('says so when something else has its name', async () => {
    await mkdir(file);
    await expect(read()).rejects.toThrow(JournalFault);
    await expect(read()).rejects.toThrow(/^The journal .* can't be opened: a folder stands where a file is needed/);
  });
});

describe('readings', () => {
  it('wait in the journal until they are looked at, and are then the same', async () => {
    await write(shortEvening(2));
    const {entries} = await read();
    const shoot = foldShoot(entries);
    const {get} = Object.getOwnPropertyDescriptor(shoot.attempts[0], 'reading')!;
    expect(get).toBeTypeOf('function');
    expect(shoot.attempts[1]!.reading).toEqual(goodReading('DSC_0002.JPG'));
  });
});
