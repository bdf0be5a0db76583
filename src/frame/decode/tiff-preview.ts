import type {ByteReader} from './byte-reader.js';

/*
 * RAW files are mostly TIFF 6.0 inside: directories (IFDs) of tags, some of which point at JPEG pictures. Every offset
 * and count comes from the file and is hostile until checked.
 */

export type EmbeddedPreview = {picture: Buffer; exif: Buffer | null; orientation: number | null};

const TAG = {
  compression: 0x103,
  stripOffsets: 0x111,
  orientation: 0x112,
  stripByteCounts: 0x117,
  subIfds: 0x14a,
  jpegOffset: 0x201,
  jpegLength: 0x202,
  exifIfd: 0x8769,
  wholeJpeg: 0x2e,
} as const;

const MOST_DIRECTORIES = 32;
const MOST_ENTRIES = 512;
const MOST_PREVIEW_BYTES = 200_000_000;
/** What is kept of the file for its Exif tags: directories and short values stand near the beginning. */
const EXIF_BYTES = 1_048_576;

type Entry = {type: number; count: number; values: number[]; at: number};
type Candidate = {offset: number; length: number};

const sizeOfType: Record<number, number> = {1: 1, 3: 2, 4: 4, 7: 1, 13: 4};

type Numbers = {u16(bytes: Buffer, at: number): number; u32(bytes: Buffer, at: number): number};
const littleEndian: Numbers = {u16: (bytes, at) => bytes.readUInt16LE(at), u32: (bytes, at) => bytes.readUInt32LE(at)};
const bigEndian: Numbers = {u16: (bytes, at) => bytes.readUInt16BE(at), u32: (bytes, at) => bytes.readUInt32BE(at)};

const readDirectory = async (reader: ByteReader, n: Numbers, offset: number) => {
  const entries = new Map<number, Entry>();
  const head = await reader.read(offset, 2);
  if (head.length < 2) return {entries, next: 0};
  const count = n.u16(head, 0);
  if (count === 0 || count > MOST_ENTRIES) return {entries, next: 0};
  const body = await reader.read(offset + 2, count * 12 + 4);
  for (let index = 0; index * 12 + 12 <= body.length && index < count; index++) {
    const at = index * 12;
    const type = n.u16(body, at + 2);
    const valueCount = n.u32(body, at + 4);
    const size = sizeOfType[type];
    if (!size || valueCount === 0 || valueCount > 65_536) continue;
    const inline = size * valueCount <= 4;
    const where = inline ? offset + 2 + at + 8 : n.u32(body, at + 8);
    const kept = Math.min(valueCount, 64);
    const bytes = inline ? body.subarray(at + 8, at + 12) : await reader.read(where, size * kept);
    const values: number[] = [];
    for (let value = 0; value < kept && (value + 1) * size <= bytes.length; value++) {
      values.push(size === 1 ? bytes[value]! : size === 2 ? n.u16(bytes, value * 2) : n.u32(bytes, value * 4));
    }
    entries.set(n.u16(body, at), {type, count: valueCount, values, at: where});
  }
  const end = 12 * count;
  return {entries, next: body.length >= end + 4 ? n.u32(body, end) : 0};
};

const candidatesOf = (entries: Map<number, Entry>): Candidate[] => {
  const found: Candidate[] = [];
  const jpegOffset = entries.get(TAG.jpegOffset)?.values[0];
  const jpegLength = entries.get(TAG.jpegLength)?.values[0];
  if (jpegOffset && jpegLength) found.push({offset: jpegOffset, length: jpegLength});
  const compression = entries.get(TAG.compression)?.values[0];
  const strips = entries.get(TAG.stripOffsets);
  const counts = entries.get(TAG.stripByteCounts);
  if ((compression === 6 || compression === 7) && strips?.count === 1 && counts?.count === 1) {
    found.push({offset: strips.values[0] ?? 0, length: counts.values[0] ?? 0});
  }
  const whole = entries.get(TAG.wholeJpeg);
  if (whole) found.push({offset: whole.at, length: whole.count});
  return found;
};

/** A JPEG of a lossless kind (SOF3) is RAW data, not a preview; its frame header says so. */
export const isOrdinaryJpeg = (bytes: Buffer): boolean => {
  if (bytes.length < 4 || bytes[0] !== 0xff || bytes[1] !== 0xd8) return false;
  let at = 2;
  while (at + 4 <= bytes.length && bytes[at] === 0xff) {
    const marker = bytes[at + 1]!;
    if (marker === 0xc3) return false;
    if ((marker >= 0xc0 && marker <= 0xc2) || marker === 0xda) return true;
    at += 2 + bytes.readUInt16BE(at + 2);
  }
  // The frame header may stand behind long application segments that weren't read.
  return at >= bytes.length;
};

/** The largest candidate that begins as a JPEG which can be shown. */
export const largestJpeg = async (reader: ByteReader, candidates: Candidate[]): Promise<Buffer | null> => {
  const sane = candidates
    .filter(({offset, length}) => offset > 0 && length > 128 && length <= MOST_PREVIEW_BYTES)
    .filter(({offset, length}) => offset + length <= reader.size)
    .sort((a, b) => b.length - a.length)
    .slice(0, 16);
  for (const {offset, length} of sane) {
    if (isOrdinaryJpeg(await reader.read(offset, Math.min(length, 262_144)))) return reader.read(offset, length);
  }
  return null;
};

/**
 * The largest JPEG that the directories of a TIFF-like file point at, with the main picture's orientation.
 * @returns null where there is none
 */
export const previewOfTiff = async (reader: ByteReader): Promise<EmbeddedPreview | null> => {
  const head = await reader.read(0, 8);
  if (head.length < 8) return null;
  const n = head[0] === 0x49 ? littleEndian : bigEndian;
  const queue = [n.u32(head, 4)];
  const seen = new Set<number>();
  const candidates: Candidate[] = [];
  let orientation: number | null = null;
  while (queue.length > 0 && seen.size < MOST_DIRECTORIES) {
    const offset = queue.shift()!;
    if (offset < 8 || offset >= reader.size || seen.has(offset)) continue;
    seen.add(offset);
    const {entries, next} = await readDirectory(reader, n, offset);
    orientation ??= entries.get(TAG.orientation)?.values[0] ?? null;
    candidates.push(...candidatesOf(entries));
    queue.push(...(entries.get(TAG.subIfds)?.values ?? []), ...(entries.get(TAG.exifIfd)?.values ?? []), next);
  }
  const picture = await largestJpeg(reader, candidates);
  return picture && {picture, exif: await reader.read(0, EXIF_BYTES), orientation};
};
