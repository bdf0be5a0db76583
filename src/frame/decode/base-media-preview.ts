import type {ByteReader} from './byte-reader.js';
import {type EmbeddedPreview, largestJpeg} from './tiff-preview.js';

/*
 * Newer RAW files are ISO base media files (ISO/IEC 14496-12): boxes of length, type and content. The largest preview is
 * the first sample of a track; its place stands in the track's sample tables (stsz, co64 or stco). That tracks and the
 * PRVW box hold JPEGs, and that CMT1 and CMT2 are TIFF blocks with the Exif tags, is how such files are built in
 * practice (from memory; not part of the standard).
 */

type Box = {type: string; start: number; end: number};

const MOST_BOXES = 512;
const MOST_DEPTH = 6;
const containers = new Set(['moov', 'trak', 'mdia', 'minf', 'stbl']);
/** The length of a box's own identity that stands before the boxes inside it. */
const UUID_BYTES = 16;

const childBoxes = async (reader: ByteReader, start: number, end: number): Promise<Box[]> => {
  const boxes: Box[] = [];
  let at = start;
  while (at + 8 <= end && boxes.length < MOST_BOXES) {
    const head = await reader.read(at, 16);
    if (head.length < 8) break;
    let size = head.readUInt32BE(0);
    let headBytes = 8;
    if (size === 1 && head.length === 16) {
      size = Number(head.readBigUInt64BE(8));
      headBytes = 16;
    } else if (size === 0) {
      size = end - at;
    }
    if (size < headBytes || at + size > end) break;
    boxes.push({type: head.toString('latin1', 4, 8), start: at + headBytes, end: at + size});
    at += size;
  }
  return boxes;
};

/** Walks the tree of boxes; `budget` bounds how many a hostile file can make us read. */
const allBoxes = async (reader: ByteReader): Promise<Box[]> => {
  const found: Box[] = [];
  const walk = async (start: number, end: number, depth: number): Promise<void> => {
    if (depth > MOST_DEPTH) return;
    for (const box of await childBoxes(reader, start, end)) {
      if (found.length >= MOST_BOXES) return;
      found.push(box);
      if (containers.has(box.type)) await walk(box.start, box.end, depth + 1);
      if (box.type === 'uuid') {
        await walk(box.start + UUID_BYTES, box.end, depth + 1);
        // The preview's own identity is followed by eight bytes before its box.
        await walk(box.start + UUID_BYTES + 8, box.end, depth + 1);
      }
    }
  };
  await walk(0, reader.size, 0);
  return found;
};

const within = (boxes: Box[], outer: Box, type: string): Box | undefined =>
  boxes.find(box => box.type === type && box.start >= outer.start && box.end <= outer.end);

const firstSample = async (reader: ByteReader, boxes: Box[], track: Box) => {
  const sizes = within(boxes, track, 'stsz');
  const wide = within(boxes, track, 'co64');
  const narrow = within(boxes, track, 'stco');
  const offsets = wide ?? narrow;
  if (!sizes || !offsets) return null;
  const sizeBytes = await reader.read(sizes.start, 16);
  const offsetBytes = await reader.read(offsets.start, 16);
  if (sizeBytes.length < 12 || offsetBytes.length < 12) return null;
  const common = sizeBytes.readUInt32BE(4);
  const length = common !== 0 ? common : sizeBytes.length >= 16 ? sizeBytes.readUInt32BE(12) : 0;
  const offset = wide
    ? offsetBytes.length >= 16
      ? Number(offsetBytes.readBigUInt64BE(8))
      : 0
    : offsetBytes.readUInt32BE(8);
  return {offset, length};
};

/** A JPEG somewhere in the first bytes of a box, up to the box's end. */
const jpegIn = async (reader: ByteReader, box: Box) => {
  const head = await reader.read(box.start, Math.min(64, box.end - box.start));
  const at = head.indexOf(Buffer.from([0xff, 0xd8, 0xff]));
  return at < 0 ? null : {offset: box.start + at, length: box.end - box.start - at};
};

const orientationOf = (tiff: Buffer | null): number | null => {
  if (!tiff || tiff.length < 10) return null;
  const little = tiff.toString('latin1', 0, 2) === 'II';
  const u16 = (at: number) => (at + 2 > tiff.length ? 0 : little ? tiff.readUInt16LE(at) : tiff.readUInt16BE(at));
  const u32 = (at: number) => (at + 4 > tiff.length ? 0 : little ? tiff.readUInt32LE(at) : tiff.readUInt32BE(at));
  const directory = u32(4);
  const count = Math.min(u16(directory), 256);
  for (let index = 0; index < count; index++) {
    const at = directory + 2 + index * 12;
    if (u16(at) === 0x112) return u16(at + 8);
  }
  return null;
};

const contentOf = async (reader: ByteReader, box: Box | undefined): Promise<Buffer | null> =>
  box && box.end - box.start <= 1_048_576 ? reader.read(box.start, box.end - box.start) : null;

/**
 * The largest JPEG inside a RAW file that is an ISO base media file.
 * @returns null where there is none
 */
export const previewOfBaseMedia = async (reader: ByteReader): Promise<EmbeddedPreview | null> => {
  const boxes = await allBoxes(reader);
  const candidates = [];
  for (const box of boxes) {
    const found =
      box.type === 'trak'
        ? await firstSample(reader, boxes, box)
        : box.type === 'PRVW' || box.type === 'THMB'
          ? await jpegIn(reader, box)
          : null;
    if (found) candidates.push(found);
  }
  const picture = await largestJpeg(reader, candidates);
  if (!picture) return null;
  const main = await contentOf(
    reader,
    boxes.find(box => box.type === 'CMT1'),
  );
  const exif = await contentOf(
    reader,
    boxes.find(box => box.type === 'CMT2'),
  );
  return {picture, exif, orientation: orientationOf(main)};
};
