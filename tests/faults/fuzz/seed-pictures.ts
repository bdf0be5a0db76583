import sharp, {type Sharp} from 'sharp';

/*
 * Small pictures of every kind that is read, as the ground from which damaged ones are made. The RAW-like files are built
 * here, byte by byte, as their formats say (TIFF 6.0; ISO/IEC 14496-12).
 */

export type SeedPicture = {ending: string; bytes: Buffer};

const WIDTH = 96;
const HEIGHT = 64;

const lantern = (): Sharp => {
  const rgb = Buffer.alloc(WIDTH * HEIGHT * 3);
  for (let y = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++) {
      const near = Math.exp(-(((x - 48) / 14) ** 2 + ((y - 26) / 18) ** 2));
      const at = (y * WIDTH + x) * 3;
      rgb[at] = 8 + near * 220;
      rgb[at + 1] = 6 + near * 150;
      rgb[at + 2] = 9 + near * 90;
    }
  return sharp(rgb, {raw: {width: WIDTH, height: HEIGHT, channels: 3}});
};

const exif = {
  IFD0: {Make: 'none', Model: 'stand-in', Software: 'x'.repeat(40), Orientation: '6'},
  IFD2: {
    ExposureTime: '8/1',
    FNumber: '8/1',
    ISOSpeedRatings: '100',
    DateTimeOriginal: '2026:11:25 21:04:09',
    OffsetTimeOriginal: '+01:00',
  },
};

/** Pictures by the kind of their format. */
export const seedPictures = async () => {
  const jpeg = await lantern().withExif(exif).jpeg({quality: 80}).toBuffer();
  const progressive = await lantern().withExif(exif).jpeg({progressive: true}).toBuffer();
  const one = (ending: string, ...all: Buffer[]): SeedPicture[] => all.map(bytes => ({ending, bytes}));
  return {
    jpeg: one('.jpg', jpeg, progressive),
    png: [
      ...one('.png', await lantern().withExif(exif).png().toBuffer()),
      ...one('.png', await lantern().toColourspace('rgb16').png().toBuffer()),
      ...one('.png', await lantern().png({palette: true}).toBuffer()),
      ...one('.webp', await lantern().withExif(exif).webp().toBuffer()),
    ],
    tiff: [
      ...one('.tif', await lantern().withExif(exif).tiff({compression: 'none'}).toBuffer()),
      ...one(
        '.tif',
        await lantern().toColourspace('rgb16').tiff({compression: 'lzw', predictor: 'horizontal'}).toBuffer(),
      ),
      ...one(
        '.tiff',
        await lantern().tiff({compression: 'deflate', tile: true, tileWidth: 32, tileHeight: 32}).toBuffer(),
      ),
      ...one('.tiff', await lantern().tiff({compression: 'jpeg'}).toBuffer()),
    ],
    rawTiff: [
      ...one('.dng', rawTiff(jpeg, 'little'), rawTiff(jpeg, 'big')),
      ...one('.raw', rawTiff(progressive, 'little')),
    ],
    rawMedia: one('.cr3', rawMedia(jpeg), rawMedia(progressive)),
  };
};

/** A TIFF whose first directory points at a second with an embedded JPEG, and at an Exif directory. */
const rawTiff = (jpeg: Buffer, order: 'little' | 'big'): Buffer => {
  const little = order === 'little';
  const u16 = (value: number): Buffer => {
    const bytes = Buffer.alloc(2);
    little ? bytes.writeUInt16LE(value) : bytes.writeUInt16BE(value);
    return bytes;
  };
  const u32 = (value: number): Buffer => {
    const bytes = Buffer.alloc(4);
    little ? bytes.writeUInt32LE(value) : bytes.writeUInt32BE(value);
    return bytes;
  };
  const SHORT = 3;
  const LONG = 4;
  const RATIONAL = 5;
  const entry = (tag: number, type: number, value: number): Buffer =>
    Buffer.concat([u16(tag), u16(type), u32(1), ...(type === SHORT ? [u16(value), u16(0)] : [u32(value)])]);
  const directory = (...entries: Buffer[]): Buffer => Buffer.concat([u16(entries.length), ...entries, u32(0)]);
  const firstAt = 8;
  const subAt = firstAt + 2 + 4 * 12 + 4;
  const exifAt = subAt + 2 + 3 * 12 + 4;
  const valuesAt = exifAt + 2 + 3 * 12 + 4;
  const jpegAt = valuesAt + 16;
  return Buffer.concat([
    Buffer.from(little ? 'II' : 'MM'),
    u16(42),
    u32(firstAt),
    directory(
      entry(0x100, LONG, WIDTH),
      entry(0x112, SHORT, 1),
      entry(0x14a, LONG, subAt),
      entry(0x8769, LONG, exifAt),
    ),
    directory(entry(0x103, SHORT, 6), entry(0x201, LONG, jpegAt), entry(0x202, LONG, jpeg.length)),
    directory(entry(0x829a, RATIONAL, valuesAt), entry(0x829d, RATIONAL, valuesAt + 8), entry(0x8827, SHORT, 100)),
    ...[8, 1, 8, 1].map(u32),
    jpeg,
  ]);
};

/** A RAW file of boxes: a track whose first sample is a JPEG, a preview box, and two TIFF blocks. */
const rawMedia = (jpeg: Buffer): Buffer => {
  const u32 = (...values: number[]): Buffer => {
    const bytes = Buffer.alloc(values.length * 4);
    values.forEach((value, at) => {
      bytes.writeUInt32BE(value, at * 4);
    });
    return bytes;
  };
  const box = (type: string, ...content: Buffer[]): Buffer => {
    const body = Buffer.concat(content);
    return Buffer.concat([u32(body.length + 8), Buffer.from(type, 'latin1'), body]);
  };
  const tiff = rawTiff(Buffer.alloc(0), 'little');
  const head = box('ftyp', Buffer.from('crx '), u32(1), Buffer.from('crx isom'));
  const moovOf = (jpegAt: number): Buffer =>
    box(
      'moov',
      box(
        'uuid',
        Buffer.alloc(16, 1),
        box('CMT1', tiff),
        box('CMT2', tiff),
        box('THMB', u32(0, 0), jpeg.subarray(0, 400)),
      ),
      box(
        'trak',
        box(
          'mdia',
          box('minf', box('stbl', box('stsz', u32(0, 0, 1, jpeg.length)), box('co64', u32(0, 1, 0, jpegAt)))),
        ),
      ),
    );
  const preview = box('uuid', Buffer.alloc(16, 2), u32(0, 1), box('PRVW', u32(0, 0, 0), jpeg));
  const jpegAt = head.length + moovOf(0).length + preview.length + 8;
  return Buffer.concat([head, moovOf(jpegAt), preview, box('mdat', jpeg)]);
};
