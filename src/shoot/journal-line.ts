import {crc32} from 'node:zlib';
import {z} from 'zod';
import {type JournalEntry, journalEntrySchema} from '../../shared/journal.js';
import {safely} from '../../shared/safely.js';
import {plainDeep} from './plain-deep.js';

/*
 * A line is one JSON object whose last member is a CRC-32 over the bytes before that member. A line without one (written
 * by hand, or by another tool) is taken if it parses; a line whose sum is wrong is damaged, even if it still parses.
 */

/** What one line of a journal turned out to be. */
export type LineRead =
  | {is: 'entry'; entry: JournalEntry}
  /** A measured entry whose sum is right; its reading is parsed when somebody wants it. */
  | {is: 'measured'; at: string; attempt: number}
  /** A kind or version of entry that a newer program wrote. */
  | {is: 'newer'; kind: string; version: number}
  | {is: 'damaged'};

const sumPattern = /^,"crc":"([0-9a-f]{8})"\}$/;
const SUM_BYTES = ',"crc":"00000000"}'.length;
/** How an entry about an attempt begins when this program wrote it. */
const headPattern = /^\{"v":1,"at":"([0-9TZ:.+-]{10,40})","kind":"([a-z-]{4,30})","attempt":([1-9][0-9]{0,8})/;
const HEAD_BYTES = 140;
/** Anything that plainDeep would change: raw or escaped control characters, marks of direction, lone surrogates. */
const needsPlaining = /\\[bfnrtu]|[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/;
const knownKinds = new Set<string>(journalEntrySchema.options.map(option => option.shape.kind.value));
const anyEntrySchema = z.object({v: z.number(), kind: z.string()});

const sumOf = (bytes: Uint8Array): string => crc32(bytes).toString(16).padStart(8, '0');

/** One entry as the bytes of its line, newline included. */
export const printLine = (entry: JournalEntry): Buffer => {
  const {v, at, kind, ...rest} = entry;
  const {attempt, ...others} = rest as {attempt?: number};
  const text = JSON.stringify({v, at, kind, ...(attempt === undefined ? {} : {attempt}), ...others});
  const body = Buffer.from(text.slice(0, -1));
  return Buffer.concat([body, Buffer.from(`,"crc":"${sumOf(body)}"}\n`)]);
};

/** Reads one line without its newline, all of it. */
export const readLine = (bytes: Buffer): LineRead =>
  sumState(bytes) === 'wrong' ? {is: 'damaged'} : readJson(bytes.toString('utf8'));

/**
 * Reads many lines of one journal fast: a measured entry whose sum is right stays unparsed, and what an entry repeats word
 * for word from the last of its kind (a shoot's attempts mostly begin alike) is parsed and checked once.
 */
export const lineReader = (): ((bytes: Buffer) => LineRead) => {
  const lastOfKind = new Map<string, {rest: string; entry: JournalEntry}>();
  return bytes => {
    const sum = sumState(bytes);
    if (sum === 'wrong') return {is: 'damaged'};
    const head = sum === 'right' ? headPattern.exec(bytes.toString('latin1', 0, HEAD_BYTES)) : null;
    if (!head) return readJson(bytes.toString('utf8'));
    const [whole, at, kind, attempt] = head as unknown as [string, string, string, string];
    if (kind === 'measured') return {is: 'measured', at, attempt: Number(attempt)};

    const rest = bytes.toString('latin1', whole.length, bytes.length - SUM_BYTES);
    const last = lastOfKind.get(kind);
    if (last && last.rest === rest)
      return {is: 'entry', entry: {...last.entry, at, attempt: Number(attempt)} as JournalEntry};
    const read = readJson(bytes.toString('utf8'));
    if (read.is === 'entry') lastOfKind.set(kind, {rest, entry: read.entry});
    return read;
  };
};

const sumState = (bytes: Buffer): 'right' | 'wrong' | 'none' => {
  const body = bytes.length - SUM_BYTES;
  if (body < 0) return 'none';
  const found = sumPattern.exec(bytes.toString('latin1', body));
  if (!found) return 'none';
  return Number.parseInt(found[1]!, 16) === crc32(bytes.subarray(0, body)) ? 'right' : 'wrong';
};

const readJson = (text: string): LineRead => {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return {is: 'damaged'};
  }
  if (needsPlaining.test(text)) value = plainDeep(value);
  const known = safely(journalEntrySchema, value);
  if (known.success) return {is: 'entry', entry: known.data};
  const any = safely(anyEntrySchema, value);
  if (any.success && (any.data.v > 1 || !knownKinds.has(any.data.kind))) {
    return {is: 'newer', kind: any.data.kind, version: any.data.v};
  }
  return {is: 'damaged'};
};
