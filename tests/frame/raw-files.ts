/*
 * RAW-like files for tests, byte by byte as their formats say: TIFF 6.0, and ISO/IEC 14496-12 boxes. They hold no sensor
 * data, only what a preview is found by.
 */

type Order = 'little' | 'big';
const SHORT = 3;
const LONG = 4;
const RATIONAL = 5;

const writer = (order: Order) => {
  const bytes = (length: 2 | 4, value: number): Buffer => {
    const out = Buffer.alloc(length);
    if (order === 'little') out.writeUIntLE(value, 0, length);
    else out.writeUIntBE(value, 0, length);
    return out;
  };
  const entry = (tag: number, type: number, value: number): Buffer =>
    Buffer.concat([
      bytes(2, tag),
      bytes(2, type),
      bytes(4, 1),
      ...(type === SHORT ? [bytes(2, value), bytes(2, 0)] : [bytes(4, value)]),
    ]);
  return {
    u16: (value: number): Buffer => bytes(2, value),
    u32: (value: number): Buffer => bytes(4, value),
    short: (tag: number, value: number): Buffer => entry(tag, SHORT, value),
    long: (tag: number, value: number): Buffer => entry(tag, LONG, value),
    rational: (tag: number, at: number): Buffer => entry(tag, RATIONAL, at),
    directory: (entries: Buffer[], next: number): Buffer =>
      Buffer.concat([bytes(2, entries.length), ...entries, bytes(4, next)]),
  };
};

const directoryBytes = (entries: number): number => 2 + 12 * entries + 4;

export type RawTiff = {
  order: Order;
  /** What stands where TIFF has 42. */
  magic: number;
  orientation: number;
  /** The preview in a directory that the first one names as its own (SubIFD) or in the second of the chain (IFD1). */
  preview: {in: 'sub' | 'second'; jpeg: Buffer} | null;
  /** A smaller JPEG in the first directory. */
  thumbnail: Buffer;
};

/** A TIFF with Exif of 8 s, f/11 and ISO 200, a thumbnail and a preview. */
export const rawTiff = ({order, magic, orientation, preview, thumbnail}: RawTiff): Buffer => {
  const w = writer(order);
  const firstCount = 4 + (preview?.in === 'sub' ? 1 : 0);
  const otherAt = 8 + directoryBytes(firstCount);
  const exifAt = otherAt + directoryBytes(3);
  const valuesAt = exifAt + directoryBytes(3);
  const thumbnailAt = valuesAt + 16;
  const jpegAt = thumbnailAt + thumbnail.length;
  const first = [w.short(0x112, orientation), w.long(0x201, thumbnailAt), w.long(0x202, thumbnail.length)];
  if (preview?.in === 'sub') first.push(w.long(0x14a, otherAt));
  first.push(w.long(0x8769, exifAt));
  const jpeg = preview?.jpeg ?? Buffer.alloc(0);
  return Buffer.concat([
    Buffer.from(order === 'little' ? 'II' : 'MM'),
    w.u16(magic),
    w.u32(8),
    w.directory(first, preview?.in === 'second' ? otherAt : 0),
    w.directory([w.short(0x103, 6), w.long(0x201, jpegAt), w.long(0x202, jpeg.length)], 0),
    w.directory([w.rational(0x829a, valuesAt), w.rational(0x829d, valuesAt + 8), w.short(0x8827, 200)], 0),
    ...[8, 1, 11, 1].map(w.u32),
    thumbnail,
    jpeg,
  ]);
};

/** An ordinary uncompressed TIFF of one grey, 8 bits, with Exif of 8 s, f/11 and ISO 200. */
export const greyTiff = (width: number, height: number, value: number): Buffer => {
  const w = writer('little');
  const exifAt = 8 + directoryBytes(9);
  const valuesAt = exifAt + directoryBytes(3);
  const pixelsAt = valuesAt + 16;
  const entries = [
    w.long(0x100, width),
    w.long(0x101, height),
    w.short(0x102, 8),
    w.short(0x103, 1),
    w.short(0x106, 1),
    w.long(0x111, pixelsAt),
    w.long(0x116, height),
    w.long(0x117, width * height),
    w.long(0x8769, exifAt),
  ];
  return Buffer.concat([
    Buffer.from('II'),
    w.u16(42),
    w.u32(8),
    w.directory(entries, 0),
    w.directory([w.rational(0x829a, valuesAt), w.rational(0x829d, valuesAt + 8), w.short(0x8827, 200)], 0),
    ...[8, 1, 11, 1].map(w.u32),
    Buffer.alloc(width * height, value),
  ]);
};

/** A TIFF block of one directory with an orientation. */
const orientationBlock = (orientation: number): Buffer => {
  const w = writer('little');
  return Buffer.concat([Buffer.from('II'), w.u16(42), w.u32(8), w.directory([w.short(0x112, orientation)], 0)]);
};

/** A TIFF block whose first directory holds the Exif tags themselves: 8 s, f/11, ISO 200. */
const exifBlock = (): Buffer => {
  const w = writer('little');
  const valuesAt = 8 + directoryBytes(3);
  return Buffer.concat([
    Buffer.from('II'),
    w.u16(42),
    w.u32(8),
    w.directory([w.rational(0x829a, valuesAt), w.rational(0x829d, valuesAt + 8), w.short(0x8827, 200)], 0),
    ...[8, 1, 11, 1].map(w.u32),
  ]);
};

const u32 = (...values: number[]): Buffer => Buffer.concat(values.map(writer('big').u32));
const box = (type: string, ...content: Buffer[]): Buffer => {
  const body = Buffer.concat(content);
  return Buffer.concat([u32(body.length + 8), Buffer.from(type, 'latin1'), body]);
};

export type RawMedia = {
  orientation: number;
  /** The first sample of the first track; null leaves the track out. */
  track: Buffer | null;
  /** The JPEG of the preview box; null leaves it out. */
  preview: Buffer | null;
  /** Whether the track's sample stands in a table of 64-bit offsets. */
  wide: boolean;
};

/** A RAW file of boxes with the Exif of exifBlock. */
export const rawMedia = ({orientation, track, preview, wide}: RawMedia): Buffer => {
  const head = box('ftyp', Buffer.from('crx '), u32(1), Buffer.from('crx isom'));
  const moovOf = (at: number): Buffer =>
    box(
      'moov',
      box('uuid', Buffer.alloc(16, 1), box('CMT1', orientationBlock(orientation)), box('CMT2', exifBlock())),
      ...(track
        ? [
            box(
              'trak',
              box(
                'mdia',
                box(
                  'minf',
                  box(
                    'stbl',
                    box('stsz', u32(0, 0, 1, track.length)),
                    wide ? box('co64', u32(0, 1, 0, at)) : box('stco', u32(0, 1, at)),
                  ),
                ),
              ),
            ),
          ]
        : []),
    );
  const previewBox = preview ? box('uuid', Buffer.alloc(16, 2), u32(0, 1), box('PRVW', u32(0, 0, 0), preview)) : null;
  const at = head.length + moovOf(0).length + (previewBox?.length ?? 0) + 8;
  return Buffer.concat([head, moovOf(at), previewBox ?? Buffer.alloc(0), box('mdat', track ?? Buffer.alloc(0))]);
};

/** Files with nothing special in them, to be changed in one thing. */
export const plainTiff: RawTiff = {
  order: 'little',
  magic: 42,
  orientation: 1,
  preview: null,
  thumbnail: Buffer.alloc(0),
};
export const plainMedia: RawMedia = {orientation: 1, track: null, preview: null, wide: true};
