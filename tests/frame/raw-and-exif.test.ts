import {describe, expect, test} from 'vitest';
import {decoded, faultOf, flat, middle, smooth} from './picture-files.js';
import {greyTiff, plainMedia, plainTiff, rawMedia, rawTiff} from './raw-files.js';

/* What comes out of RAW files, and of the tags that files carry, against what was put into them. */

describe('a RAW file', () => {
  const thumbnail = () => flat(32, 24, [10, 200, 10]).jpeg().toBuffer();
  const jpeg = () => flat(300, 200, [200, 40, 20]).jpeg({quality: 95}).toBuffer();
  const exposure = {shutterSeconds: 8, fNumber: 11, iso: 200};

  test.each([
    ['sub', 'little', 42],
    ['sub', 'big', 42],
    ['second', 'little', 42],
    ['second', 'big', 42],
    ['sub', 'little', 0x55],
    ['sub', 'little', 0x4f52],
    ['second', 'little', 0x5352],
  ] as const)('on TIFF gives its largest preview (%s directory, %s endian, magic %i)', async (where, order, magic) => {
    const bytes = rawTiff({
      order,
      magic,
      orientation: 1,
      thumbnail: await thumbnail(),
      preview: {in: where, jpeg: await jpeg()},
    });
    const frame = await decoded('a.dng', bytes);
    expect(frame.preview).toBe(true);
    expect([frame.width, frame.height]).toEqual([300, 200]);
    expect(middle(frame.image)[0]).toBeGreaterThan(190);
    expect(frame.exif.exposure).toEqual(exposure);
  });

  test('on TIFF with only a thumbnail gives that', async () => {
    const frame = await decoded('a.dng', rawTiff({...plainTiff, thumbnail: await thumbnail()}));
    expect([frame.preview, frame.width, frame.height]).toEqual([true, 32, 24]);
  });

  test.each([true, false])('of boxes gives the first sample of its track (64-bit offsets: %s)', async wide => {
    const bytes = rawMedia({orientation: 1, track: await jpeg(), preview: await thumbnail(), wide});
    const frame = await decoded('a.cr3', bytes);
    expect([frame.preview, frame.width, frame.height]).toEqual([true, 300, 200]);
    expect(middle(frame.image)[0]).toBeGreaterThan(190);
    expect(frame.exif.exposure).toEqual(exposure);
  });

  test('of boxes without such a track gives its preview box', async () => {
    const frame = await decoded('a.cr3', rawMedia({...plainMedia, preview: await jpeg()}));
    expect([frame.preview, frame.width, frame.height]).toEqual([true, 300, 200]);
    expect(frame.exif.exposure).toEqual(exposure);
  });

  test('whose track holds no JPEG but sensor data gives its preview box', async () => {
    const sensor = Buffer.alloc(50_000, 7);
    const frame = await decoded('a.cr3', rawMedia({...plainMedia, track: sensor, preview: await jpeg()}));
    expect([frame.width, frame.height]).toEqual([300, 200]);
  });

  test('whose largest JPEG is of the lossless kind, which holds sensor data, gives the other one', async () => {
    const lossless = Buffer.from(await smooth(300, 200).jpeg({quality: 95}).toBuffer());
    // ITU-T T.81, table B.1: SOF0 is FFC0, SOF3 (lossless) FFC3.
    lossless[lossless.indexOf(Buffer.from([0xff, 0xc0])) + 1] = 0xc3;
    const small = await thumbnail();
    expect(lossless.length).toBeGreaterThan(small.length);
    const preview = {in: 'sub', jpeg: lossless} as const;
    const tiff = await decoded('a.dng', rawTiff({...plainTiff, thumbnail: small, preview}));
    expect([tiff.preview, tiff.width, tiff.height]).toEqual([true, 32, 24]);
    const boxes = await decoded('a.cr3', rawMedia({...plainMedia, track: lossless, preview: small}));
    expect([boxes.preview, boxes.width, boxes.height]).toEqual([true, 32, 24]);
  });

  test('without any preview is refused', async () => {
    const boxes = await faultOf('a.cr3', rawMedia(plainMedia));
    expect(boxes.reason).toBe('foreign');
    expect(boxes.message).toBe('a.cr3 is a RAW file without a preview that could be measured.');
    expect((await faultOf('a.nef', rawTiff(plainTiff))).reason).toMatch(/^(foreign|broken)$/);
  });

  test('a whole TIFF of 64-bit offsets is read as any other', async () => {
    const bytes = flat(30, 20, [200, 40, 10]).tiff({compression: 'none', bigtiff: true}).toBuffer();
    expect(middle((await decoded('a.tif', bytes)).image)).toEqual([200, 40, 10]);
  });

  test('an ordinary TIFF is not taken for one', async () => {
    const frame = await decoded('a.tif', flat(30, 20, [9, 9, 9]).tiff({compression: 'none'}).toBuffer());
    expect(frame.preview).toBe(false);
  });
});

describe('Exif', () => {
  const tags = {
    ExposureTime: '8/1',
    FNumber: '80/10',
    ISOSpeedRatings: '100',
    DateTimeOriginal: '2026:11:25 21:04:09',
    OffsetTimeOriginal: '+01:00',
  };
  const withTags = (more: Record<string, string>): Promise<Buffer> =>
    flat(24, 16, [9, 9, 9])
      .withExif({IFD0: {Make: 'none'}, IFD2: {...tags, ...more}})
      .jpeg()
      .toBuffer();

  test.each(['jpeg', 'png', 'webp'] as const)('time, exposure, f-number and ISO are read from %s', async kind => {
    const bytes = flat(24, 16, [9, 9, 9]).withExif({IFD2: tags}).toFormat(kind).toBuffer();
    expect((await decoded(`a.${kind}`, bytes)).exif).toEqual({
      takenAt: '2026-11-25T21:04:09+01:00',
      exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
    });
  });

  test('exposure, f-number and ISO are read from TIFF, 8 bits of grey', async () => {
    const frame = await decoded('a.tif', greyTiff(20, 10, 77));
    expect([frame.preview, frame.width, frame.height, frame.image.depth]).toEqual([false, 20, 10, 8]);
    expect(middle(frame.image)).toEqual([77, 77, 77]);
    expect(frame.exif.exposure).toEqual({shutterSeconds: 8, fNumber: 11, iso: 200});
  });

  test('a RAW file without tags takes those of its preview', async () => {
    const jpeg = await withTags({});
    const bytes = rawMedia({...plainMedia, track: jpeg});
    bytes.write('none', bytes.indexOf('CMT2'), 'latin1');
    expect((await decoded('a.cr3', bytes)).exif).toEqual({
      takenAt: '2026-11-25T21:04:09+01:00',
      exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
    });
  });

  test('an exposure told as APEX values is worked out', async () => {
    // Exif 2.32, annex C: Tv -3 is 8 s, Av 6 is f/8.
    const bytes = flat(24, 16, [9, 9, 9])
      .withExif({IFD2: {ShutterSpeedValue: '-3/1', ApertureValue: '6/1', ISOSpeedRatings: '100'}})
      .jpeg()
      .toBuffer();
    expect((await decoded('a.jpg', bytes)).exif.exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
  });

  test('a time without a zone stays without one', async () => {
    const bytes = flat(24, 16, [9, 9, 9])
      .withExif({IFD2: {DateTimeOriginal: '2026:11:25 21:04:09'}})
      .jpeg()
      .toBuffer();
    expect((await decoded('a.jpg', bytes)).exif).toEqual({takenAt: '2026-11-25T21:04:09', exposure: null});
  });

  test('without any there is none', async () => {
    const {exif} = await decoded('a.jpg', flat(24, 16, [9, 9, 9]).jpeg().toBuffer());
    expect(exif).toEqual({takenAt: null, exposure: null});
  });

  test('values that can’t be true are dropped', async () => {
    expect((await decoded('a.jpg', withTags({ExposureTime: '0/1'}))).exif.exposure).toBeNull();
    expect((await decoded('a.jpg', withTags({ExposureTime: '1/0'}))).exif.exposure).toBeNull();
    expect((await decoded('a.jpg', withTags({FNumber: '9999/1'}))).exif.exposure).toBeNull();
  });

  /** The same file with other bytes in the place of a text. */
  const patched = async (text: string, other: Buffer): Promise<Buffer> => {
    const bytes = await withTags({});
    const at = bytes.indexOf(text);
    expect(at).toBeGreaterThan(0);
    expect(other.length).toBeLessThanOrEqual(text.length);
    other.copy(bytes, at);
    bytes.fill(0, at + other.length, at + text.length);
    return bytes;
  };

  test.each([
    '2026:02:31 21:04:09',
    '2026:13:01 21:04:09',
    '2026:11:25 25:04:09',
    '0000:00:00 00:00:00',
    '    :  :     :  :  ',
    '\u001b[2J\u001b[31mred',
    '2026\u0000:11:25 21:04',
    '\u202e2026:11:25 21',
    'javascript:alert',
  ])('a time that is none, %j, is dropped', async text => {
    const {exif} = await decoded('a.jpg', patched('2026:11:25 21:04:09', Buffer.from(text)));
    expect(exif.takenAt).toBeNull();
    expect(exif.exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
  });

  test.each(['+99:99', '+24:00', '+01:60', '\u001b[2J', '\u202e+1', 'Z'])(
    'a zone that is none, %j, is left out',
    async text => {
      const {exif} = await decoded('a.jpg', patched('+01:00', Buffer.from(text)));
      expect(exif.takenAt).toBe('2026-11-25T21:04:09');
    },
  );
});
