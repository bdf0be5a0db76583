import path from 'node:path';
import sharp, {type Sharp} from 'sharp';
import {describe, expect, test} from 'vitest';
import {linearToSrgb, srgbToLinear} from '../../src/frame/curve/srgb.js';
import type {CodedImage} from '../../src/frame/decode/coded.js';
import {decodeFrame, decodePicture} from '../../src/frame/decode/decode.js';
import {type Colour, decoded, faultOf, flat, folder, meanAt, middle, put, smooth} from './picture-files.js';
import {plainMedia, plainTiff, rawMedia, rawTiff} from './raw-files.js';

/* What comes out of every kind of picture file, against what was put into it. */

describe('JPEG', () => {
  test('progressive is the same picture as baseline', async () => {
    const baseline = await decoded('a.jpg', smooth(160, 120).jpeg({quality: 90}).toBuffer());
    const progressive = await decoded('b.jpg', smooth(160, 120).jpeg({quality: 90, progressive: true}).toBuffer());
    expect(Buffer.from(progressive.image.rgb).equals(Buffer.from(baseline.image.rgb))).toBe(true);
    const [r, g, b] = middle(baseline.image);
    expect(Math.abs(r - 127)).toBeLessThan(8);
    expect(Math.abs(g - 127)).toBeLessThan(8);
    expect(b).toBeGreaterThan(0);
  });

  test('a whole picture larger than 1500 px is decoded to 1500, and its own size is told', async () => {
    const wide = await decoded('a.jpg', smooth(3200, 1200).jpeg().toBuffer());
    expect([wide.width, wide.height]).toEqual([3200, 1200]);
    expect([wide.image.width, wide.image.height]).toEqual([1500, 563]);
    expect(wide.image.rgb).toHaveLength(1500 * 563 * 3);
    const [r, g] = meanAt(wide.image, 0.25, 0.75);
    expect(Math.abs(r - 64)).toBeLessThan(2);
    expect(Math.abs(g - 191)).toBeLessThan(2);
    const turned = await decoded('b.jpg', smooth(3200, 1200).withMetadata({orientation: 6}).jpeg().toBuffer());
    expect([turned.width, turned.height]).toEqual([1200, 3200]);
    expect([turned.image.width, turned.image.height]).toEqual([563, 1500]);
  });

  test('a small one is not enlarged', async () => {
    const {image, width, height} = await decoded('a.jpg', smooth(40, 30).jpeg().toBuffer());
    expect([width, height, image.width, image.height]).toEqual([40, 30, 40, 30]);
  });

  test('CMYK is refused in one sentence that says what to do', async () => {
    const cmyk = await smooth(40, 30).toColourspace('cmyk').jpeg().toBuffer();
    expect((await sharp(cmyk).metadata()).space).toBe('cmyk');
    const fault = await faultOf('inks.jpg', cmyk);
    expect(fault.reason).toBe('foreign');
    expect(fault.message).toBe('inks.jpg is in CMYK, which is for printing; save it as an RGB picture to measure it.');
    const tiff = await smooth(40, 30).toColourspace('cmyk').tiff({compression: 'none'}).toBuffer();
    expect((await faultOf('inks.tif', tiff)).message).toContain('CMYK');
  });
});

describe('channels', () => {
  test.each(['jpeg', 'png', 'tiff', 'webp'] as const)('greyscale %s comes out in three equal channels', async kind => {
    const grey = await flat(60, 40, [90, 90, 90]).greyscale().toFormat(kind).toBuffer();
    const {image} = await decoded(`a.${kind}`, grey);
    expect(image.depth).toBe(8);
    expect(image.rgb).toHaveLength(60 * 40 * 3);
    for (const value of middle(image)) expect(Math.abs(value - 90)).toBeLessThanOrEqual(1);
    const small = await decodePicture(put(`b.${kind}`, grey), 10, 10);
    expect([small.width, small.height, small.rgb.length]).toEqual([10, 7, 210]);
    expect(Math.abs(small.rgb[100]! - 90)).toBeLessThanOrEqual(1);
  });

  test('16-bit greyscale keeps its depth', async () => {
    const samples = Uint16Array.from({length: 60 * 40}, () => 20_011);
    const grey = sharp(samples, {raw: {width: 60, height: 40, channels: 1}}).toColourspace('grey16');
    const {image} = await decoded('a.png', grey.png().toBuffer());
    expect(image.depth).toBe(16);
    expect(image.rgb).toHaveLength(60 * 40 * 3);
    for (const value of middle(image)) expect(Math.abs(value - 20_011)).toBeLessThan(3);
  });

  test('a palette and transparency become plain colours on black', async () => {
    const palette = await decoded('a.png', flat(30, 20, [200, 40, 10]).png({palette: true}).toBuffer());
    expect(middle(palette.image).map(Math.round)).toEqual([200, 40, 10]);
    const half = sharp({create: {width: 30, height: 20, channels: 4, background: {r: 200, g: 100, b: 50, alpha: 0.5}}});
    const see = await decoded('b.png', half.png().toBuffer());
    expect(see.image.rgb).toHaveLength(30 * 20 * 3);
    for (const [at, value] of middle(see.image).entries()) expect(Math.abs(value - [100, 50, 25][at]!)).toBeLessThan(2);
  });
});

describe('16 bits', () => {
  const width = 128;
  const height = 4;
  // Steps of 37 of 65,535: a seventh of one 8-bit code.
  const ramp = (): Sharp =>
    sharp(
      Uint16Array.from({length: width * height * 3}, (_, at) => 3000 + 37 * (Math.floor(at / 3) % width)),
      {raw: {width, height, channels: 3}},
    ).toColourspace('rgb16');

  test.each([
    ['a.png', () => ramp().png().toBuffer()],
    ['a.tif', () => ramp().tiff({compression: 'none'}).toBuffer()],
    ['b.tiff', () => ramp().tiff({compression: 'lzw', predictor: 'horizontal'}).toBuffer()],
  ])('%s keeps more than 8 bits', async (name, make) => {
    const {image} = await decoded(name, make());
    expect(image.depth).toBe(16);
    for (let x = 0; x < width; x++) expect(Math.abs(image.rgb[x * 3]! - (3000 + 37 * x))).toBeLessThanOrEqual(1);
  });

  test('with a profile too', async () => {
    const profiled = await ramp().withIccProfile('p3').png().toBuffer();
    const {image} = await decoded('a.png', profiled);
    expect(image.depth).toBe(16);
    // Greys of both spaces are the same; the profile's tables round a little.
    for (let x = 0; x < width; x++) expect(Math.abs(image.rgb[x * 3 + 1]! - (3000 + 37 * x))).toBeLessThan(40);
    expect(new Set(image.rgb.subarray(0, width * 3)).size).toBeGreaterThan(100);
  });
});

/* Eight pictures of the same thing: red top left, green top right, blue bottom left, white bottom right. */
const QUARTERS = {red: [255, 0, 0], green: [0, 255, 0], blue: [0, 0, 255], white: [255, 255, 255]} as const;
type Quarter = keyof typeof QUARTERS;

/**
 * How the quarters lie in the file for each value of Orientation, in rows. Exif 2.32, 4.6.4: the value says which side
 * of the scene row 0 and column 0 are: 1 top, left; 2 top, right; 3 bottom, right; 4 bottom, left; 5 left, top;
 * 6 right, top; 7 right, bottom; 8 left, bottom.
 */
const inFile: Record<number, [Quarter, Quarter, Quarter, Quarter]> = {
  1: ['red', 'green', 'blue', 'white'],
  2: ['green', 'red', 'white', 'blue'],
  3: ['white', 'blue', 'green', 'red'],
  4: ['blue', 'white', 'red', 'green'],
  5: ['red', 'blue', 'green', 'white'],
  6: ['green', 'white', 'red', 'blue'],
  7: ['white', 'green', 'blue', 'red'],
  8: ['blue', 'red', 'white', 'green'],
};

const quarters = (orientation: number): Sharp => {
  const sideways = orientation >= 5;
  const [width, height] = sideways ? [64, 96] : [96, 64];
  const rgb = Buffer.alloc(width * height * 3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const quarter = inFile[orientation]![(y < height / 2 ? 0 : 2) + (x < width / 2 ? 0 : 1)]!;
      rgb.set(QUARTERS[quarter], (y * width + x) * 3);
    }
  }
  return sharp(rgb, {raw: {width, height, channels: 3}});
};

const expectUpright = (image: CodedImage): void => {
  const seen = [
    [0.25, 0.25],
    [0.75, 0.25],
    [0.25, 0.75],
    [0.75, 0.75],
  ].map(([x, y]) =>
    meanAt(image, x!, y!)
      .map(value => (value > 127 ? 1 : 0))
      .join(''),
  );
  expect(seen).toEqual(['100', '010', '001', '111']);
};

const orientations = [1, 2, 3, 4, 5, 6, 7, 8];

describe('orientation', () => {
  test.each(orientations)('%d comes out upright', async orientation => {
    const jpeg = quarters(orientation).withMetadata({orientation}).jpeg({quality: 95}).toBuffer();
    const {image, width, height} = await decoded('a.jpg', jpeg);
    expect([width, height, image.width, image.height]).toEqual([96, 64, 96, 64]);
    expectUpright(image);
    const small = await decodePicture(put('b.jpg', await jpeg), 48, 48);
    expect([small.width, small.height]).toEqual([48, 32]);
    expectUpright({...small, depth: 8});
  });

  test.each(orientations)('%d of a RAW file turns its preview, which has none of its own', async orientation => {
    const jpeg = await quarters(orientation).jpeg({quality: 95}).toBuffer();
    const tiff = await decoded('a.nef', rawTiff({...plainTiff, orientation, preview: {in: 'sub', jpeg}}));
    expect([tiff.width, tiff.height, tiff.image.width, tiff.image.height]).toEqual([96, 64, 96, 64]);
    expectUpright(tiff.image);
    const file = put('a.cr3', rawMedia({...plainMedia, orientation, track: jpeg}));
    expectUpright((await decodeFrame(file)).image);
    const small = await decodePicture(file, 48, 48);
    expect([small.width, small.height]).toEqual([48, 32]);
    expectUpright({...small, depth: 8});
  });

  test.each([0, 9, 65_535])('%d, which is none, leaves the picture as it lies', async orientation => {
    const jpeg = await quarters(1).jpeg({quality: 95}).toBuffer();
    expectUpright((await decoded('a.nef', rawTiff({...plainTiff, orientation, preview: {in: 'sub', jpeg}}))).image);
  });
});

type Matrix = [Colour, Colour, Colour];
const times = (m: Matrix, v: Colour): Colour => m.map(row => row[0] * v[0] + row[1] * v[1] + row[2] * v[2]) as Colour;

describe('an ICC profile', () => {
  /*
   * Display P3: the primaries of SMPTE EG 432-1 (0.680, 0.320; 0.265, 0.690; 0.150, 0.060) with D65 and the transfer curve
   * of IEC 61966-2-1. RGB to XYZ by CIE 15 from those chromaticities; XYZ to linear sRGB as IEC 61966-2-1 prints it.
   */
  const p3ToXyz: Matrix = [
    [0.486571, 0.265668, 0.198217],
    [0.228975, 0.691739, 0.079287],
    [0, 0.045113, 1.043944],
  ];
  const xyzToSrgb: Matrix = [
    [3.2406, -1.5372, -0.4986],
    [-0.9689, 1.8758, 0.0415],
    [0.0557, -0.204, 1.057],
  ];
  const asSrgb = (codes: Colour, most: number): Colour =>
    times(xyzToSrgb, times(p3ToXyz, codes.map(code => srgbToLinear(code / most)) as Colour)).map(
      linear => most * linearToSrgb(Math.min(1, Math.max(0, linear))),
    ) as Colour;

  test.each([
    ['png', [180, 90, 60]],
    ['png', [60, 140, 90]],
    ['png', [40, 30, 120]],
    ['png', [128, 128, 128]],
    ['jpeg', [180, 90, 60]],
  ] as ['png' | 'jpeg', Colour][])('Display P3 in a %s, near sRGB %j, becomes sRGB', async (kind, colour) => {
    const bytes = await flat(48, 32, colour).withIccProfile('p3').toFormat(kind, {quality: 100}).toBuffer();
    const stored = await sharp(bytes, {ignoreIcc: true}).raw().toBuffer();
    const codes: Colour = [stored[0]!, stored[1]!, stored[2]!];
    const expected = asSrgb(codes, 255);
    // But for greys, the codes in the file must be others than what they mean in sRGB, or nothing is seen here.
    const apart = Math.max(...codes.map((code, at) => Math.abs(code - expected[at]!)));
    if (new Set(colour).size > 1) expect(apart).toBeGreaterThan(4);
    const seen = middle((await decoded(`a.${kind}`, bytes)).image);
    for (const [at, value] of seen.entries()) expect(Math.abs(value - expected[at]!)).toBeLessThan(1.6);
    const shown = await decodePicture(put(`b.${kind}`, bytes), 8, 8);
    for (let c = 0; c < 3; c++) expect(Math.abs(shown.rgb[c]! - expected[c]!)).toBeLessThan(1.6);
  });

  test('of 16 bits is converted in 16 bits', async () => {
    const samples = Uint16Array.from({length: 48 * 32 * 3}, (_, at) => [46_000, 23_100, 15_300][at % 3]!);
    const image = sharp(samples, {raw: {width: 48, height: 32, channels: 3}}).toColourspace('rgb16');
    const bytes = await image.withIccProfile('p3').png().toBuffer();
    // Read with sharp's own 16-bit output, without any conversion.
    const raw = await sharp(bytes, {ignoreIcc: true}).toColourspace('rgb16').raw({depth: 'ushort'}).toBuffer();
    const codes: Colour = [raw.readUInt16LE(0), raw.readUInt16LE(2), raw.readUInt16LE(4)];
    const expected = asSrgb(codes, 65_535);
    expect(Math.abs(codes[0] - expected[0])).toBeGreaterThan(1000);
    const seen = (await decoded('a.png', bytes)).image;
    expect(seen.depth).toBe(16);
    for (const [at, value] of middle(seen).entries()) expect(Math.abs(value - expected[at]!)).toBeLessThan(150);
  });
});

describe('what is no picture, or only half of one', () => {
  test('a truncated JPEG', async () => {
    const whole = await smooth(300, 200).jpeg().toBuffer();
    for (const part of [0.9, 0.5, 0.1]) {
      const fault = await faultOf('cut.jpg', whole.subarray(0, Math.floor(whole.length * part)));
      expect(fault.reason).toBe('broken');
      expect(fault.message).toBe('cut.jpg is damaged or cut off; it could not be decoded.');
    }
    const progressive = await smooth(300, 200).jpeg({progressive: true}).toBuffer();
    expect((await faultOf('cut.jpg', progressive.subarray(0, progressive.length / 2))).reason).toBe('broken');
    // Larger than what is decoded, so that lines at its end are dropped by the shrinking.
    const large = await flat(3200, 2000, [90, 80, 70]).jpeg().toBuffer();
    expect((await faultOf('cut.jpg', large.subarray(0, large.length - 400))).reason).toBe('broken');
  });

  test.each(['png', 'tiff', 'webp'] as const)('a truncated %s', async kind => {
    const whole = await smooth(300, 200).toFormat(kind).toBuffer();
    const fault = await faultOf(`cut.${kind}`, whole.subarray(0, Math.floor(whole.length * 0.5)));
    expect(fault.reason).toMatch(/^(broken|foreign)$/);
  });

  test('an empty file, a text, a folder and nothing', async () => {
    const empty = await faultOf('a.jpg', '');
    expect([empty.reason, empty.message]).toEqual(['empty', 'a.jpg is empty; it may still be on its way.']);
    for (const text of ['x', 'Shopping list\n', 'word '.repeat(1000)]) {
      const fault = await faultOf('a.jpg', text);
      expect(fault.reason).toBe('foreign');
      expect(fault.message).toMatch(/^a\.jpg is not a picture that darkset reads/);
    }
    await expect(decodeFrame(path.join(folder, 'none.jpg'))).rejects.toThrow(/^none\.jpg is not there\.$/);
    await expect(decodeFrame(folder)).rejects.toThrow(/ is not a file\.$/);
  });

  // Drawings, moving pictures and pages are no frames; a drawing could make us read other files.
  test.each([
    [
      'a.svg',
      async () => '<svg xmlns="http://www.w3.org/2000/svg" width="50" height="50"><rect width="50" height="50"/></svg>',
    ],
    ['a.jpg', async () => '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="50" height="50"></svg>'],
    ['a.gif', () => flat(20, 20, [1, 2, 3]).gif().toBuffer()],
    ['a.avif', () => flat(20, 20, [1, 2, 3]).avif({effort: 0}).toBuffer()],
  ])('%s, which is another kind of file', async (name, make) => {
    const fault = await faultOf(name, await make());
    expect(fault.reason).toBe('foreign');
  });

  test.each([
    ['png', 0x7fff_ffff, 0x7fff_ffff],
    ['png', 400_000, 400_000],
    ['png', 0, 10],
  ] as const)('absurd dimensions in a %s: %i × %i', async (_, width, height) => {
    const bytes = await flat(16, 16, [1, 2, 3]).png().toBuffer();
    bytes.writeUInt32BE(width, 16);
    bytes.writeUInt32BE(height, 20);
    const {reason} = await faultOf('a.png', bytes);
    expect(reason).toMatch(/^(huge|broken|foreign)$/);
  });

  test('absurd dimensions in a TIFF', async () => {
    const bytes = await flat(16, 16, [1, 2, 3]).tiff({compression: 'none'}).toBuffer();
    const directory = bytes.readUInt32LE(4);
    for (let entry = 0; entry < bytes.readUInt16LE(directory); entry++) {
      const at = directory + 2 + 12 * entry;
      const tag = bytes.readUInt16LE(at);
      if (tag !== 0x100 && tag !== 0x101) continue;
      bytes.writeUInt16LE(4, at + 2);
      bytes.writeUInt32LE(900_000, at + 8);
    }
    expect((await faultOf('a.tif', bytes)).reason).toMatch(/^(huge|broken)$/);
  });

  test('the name in the sentence holds nothing that acts on a terminal', async () => {
    const name = 'a\u001b[2Jb\u202ec.jpg';
    await expect(decoded(name, 'x')).rejects.toThrow(/^a \[2Jb c\.jpg is not a picture/);
  });
});
