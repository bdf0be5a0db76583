import {mkdirSync, mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {afterAll, describe, expect, test} from 'vitest';
import {measurementSchema} from '../../shared/reading.js';
import {FrameFault} from '../../src/frame/fault.js';
import {measureFrame} from '../../src/frame/measure.js';
import {loadPlates, type PlateSet} from '../../src/frame/plates.js';

/* A folder of plates: which of its files are taken for what, and what is said where it is not what it should be. */

const root = mkdtempSync(path.join(tmpdir(), 'darkset-plates-'));
afterAll(() => rmSync(root, {recursive: true}));

type Kind = 'jpeg' | 'png' | 'tiff' | 'webp';
const kinds: Record<string, Kind> = {jpg: 'jpeg', jpeg: 'jpeg', png: 'png', tif: 'tiff', tiff: 'tiff', webp: 'webp'};

/** A flat picture, in the kind that its name's ending says; told apart by its red. */
const picture = (name: string, red: number): Promise<Buffer> => {
  const kind = kinds[name.split('.').at(-1)!.trim().toLowerCase()] ?? 'jpeg';
  return sharp({create: {width: 30, height: 20, channels: 3, background: {r: red, g: 20, b: 20}}})
    .toFormat(kind)
    .toBuffer();
};

let made = 0;
/** A folder with these files: pictures by the red that they show, or texts. */
const folderOf = async (files: Record<string, number | string | Buffer>): Promise<string> => {
  made += 1;
  const folder = path.join(root, `plates ${made}`);
  mkdirSync(folder);
  for (const [name, content] of Object.entries(files)) {
    writeFileSync(path.join(folder, name), typeof content === 'number' ? await picture(name, content) : content);
  }
  return folder;
};
const load = async (files: Record<string, number | string | Buffer>): Promise<PlateSet> =>
  loadPlates(await folderOf(files));

/** What was taken for what. */
const namesOf = ({dark, sitter, lights}: PlateSet) => ({
  dark: dark?.label ?? null,
  sitter: sitter?.label ?? null,
  lights: Object.fromEntries(lights.map(({id, frame}) => [id, frame.label])),
});
const nothing = {dark: null, sitter: null, lights: {}};

const faultOf = async (work: Promise<unknown>): Promise<FrameFault> => {
  const fault: unknown = await work.then(
    () => null,
    error => error,
  );
  expect(fault).toBeInstanceOf(FrameFault);
  expect((fault as FrameFault).message).toMatch(/^[^\n]{10,300}\.$/);
  return fault as FrameFault;
};

describe('names', () => {
  test.each([
    ['dark.jpg', {dark: 'dark.jpg'}],
    ['DARK.JPG', {dark: 'DARK.JPG'}],
    ['Dark.jpeg', {dark: 'Dark.jpeg'}],
    ['dark.webp', {dark: 'dark.webp'}],
    ['dark .png', {dark: 'dark .png'}],
    ['sitter.jpg', {sitter: 'sitter.jpg'}],
    ['Sitter.TIF', {sitter: 'Sitter.TIF'}],
    ['Light_a.JPG', {lights: {A: 'Light_a.JPG'}}],
    ['light-B.tif', {lights: {B: 'light-B.tif'}}],
    ['light C.tiff', {lights: {C: 'light C.tiff'}}],
    ['light.d.png', {lights: {D: 'light.d.png'}}],
    ['lightE.jpg', {lights: {E: 'lightE.jpg'}}],
    ['LIGHT - F.jpg', {lights: {F: 'LIGHT - F.jpg'}}],
    ['A.png', {lights: {A: 'A.png'}}],
    ['z.jpg', {lights: {Z: 'z.jpg'}}],
  ])('%s is a plate', async (name, expected) => {
    expect(namesOf(await load({[name]: 90}))).toEqual({...nothing, ...expected});
  });

  test.each([
    'light-AB.jpg',
    'light-1.jpg',
    'darker.jpg',
    'my dark.jpg',
    'light.jpg',
    'Ä.jpg',
    '.dark.jpg',
    '._A.jpg',
    'dark.txt',
    'A.md',
    'light-A.jpg.xmp',
    'dark.xmp',
    'A.json',
    'dark.part',
    'dark',
  ])('%s is none', async name => {
    const plates = await load({'light-Q.jpg': 90, [name]: await picture('a.jpg', 90)});
    expect(namesOf(plates)).toEqual({...nothing, lights: {Q: 'light-Q.jpg'}});
  });

  test('lights stand in the order of their letters, however they are named', async () => {
    const {lights} = await load({'c.jpg': 30, 'light-B.jpg': 20, 'Light_a.JPG': 10, 'lightD.png': 40});
    expect(lights.map(({id}) => id)).toEqual(['A', 'B', 'C', 'D']);
    for (const [at, {frame}] of lights.entries()) {
      expect(Math.abs(frame.image.rgb[0]! - 10 * (at + 1))).toBeLessThan(3);
    }
  });

  test('a whole set with its zones', async () => {
    const face = {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.2};
    const plates = await load({
      'dark.jpg': 1,
      'light-A.jpg': 2,
      'light-B.jpg': 3,
      'sitter.jpg': 4,
      'zones.json': JSON.stringify({face}),
    });
    expect(namesOf(plates)).toEqual({
      dark: 'dark.jpg',
      sitter: 'sitter.jpg',
      lights: {A: 'light-A.jpg', B: 'light-B.jpg'},
    });
    expect(plates.zones).toEqual({face});
  });
});

describe('several files for one plate', () => {
  // The best to measure from first.
  const order = ['dark.tif', 'dark.tiff', 'dark.png', 'dark.jpg', 'dark.jpeg', 'dark.webp', 'dark.cr3'];
  test.each(order.slice(0, -1).map((name, at) => [name, order[at + 1]!]))(
    '%s goes before %s',
    async (better, worse) => {
      // What isn't chosen is not even opened.
      const plates = await load({[worse]: 'not a picture', [better]: 90});
      expect(plates.dark?.label).toBe(better);
    },
  );

  test('a RAW file beside its JPEG is passed over, and what an editor left too', async () => {
    const plates = await load({'A.nef': 'sensor data', 'light-a.JPG': 90, 'A.jpg~': 'x', 'A.jpg_original': 'x'});
    expect(namesOf(plates).lights).toEqual({A: 'light-a.JPG'});
  });

  test('of the same kind, the choice does not depend on the order on the disk', async () => {
    for (const files of [
      {'light-A.jpg': 90, 'A.jpg': 50},
      {'A.jpg': 50, 'light-A.jpg': 90},
    ]) {
      expect(namesOf(await load(files)).lights).toEqual({A: 'A.jpg'});
    }
  });
});

describe('faults', () => {
  test('a folder that is not there, and a file in its place', async () => {
    const missing = await faultOf(loadPlates(path.join(root, 'nowhere')));
    expect([missing.reason, missing.message]).toEqual([
      'missing',
      'The folder of plates, nowhere, is not there or may not be read.',
    ]);
    const folder = await folderOf({'dark.jpg': 1});
    expect((await faultOf(loadPlates(path.join(folder, 'dark.jpg')))).reason).toBe('missing');
  });

  test('an empty folder, and one with other things', async () => {
    const others: Record<string, number | string> = {'zones.json': '{}', 'IMG_0001.jpg': 9, 'notes.txt': 'x'};
    for (const files of [{}, others]) {
      const folder = await folderOf(files);
      const {reason, message} = await faultOf(loadPlates(folder));
      expect(reason).toBe('missing');
      expect(message).toBe(
        `${path.basename(folder)} holds no plates; they are named dark.jpg, light-A.jpg, light-B.jpg and so on.`,
      );
    }
  });

  test.each([
    ['nothing', ''],
    ['no JSON', '{face'],
    ['another thing', '[]'],
    ['no face', '{}'],
    ['a face without a size', '{"face": {"cx": 0.5, "cy": 0.5}}'],
    ['a face of no size', '{"face": {"cx": 0.5, "cy": 0.5, "rx": 0, "ry": 0.1}}'],
    ['a face in pixels', '{"face": {"cx": 3000, "cy": 1600, "rx": 300, "ry": 400}}'],
    ['numbers as texts', '{"face": {"cx": "0.5", "cy": "0.5", "rx": "0.1", "ry": "0.1"}}'],
    ['numbers beyond all', '{"face": {"cx": 1e999, "cy": 0.5, "rx": 0.1, "ry": 0.1}}'],
    ['too much', `{"face": null, "x": "${'x'.repeat(200_000)}"}`],
  ])('zones.json that holds %s', async (_, text) => {
    const {reason, message} = await faultOf(load({'dark.jpg': 1, 'zones.json': text}));
    expect(reason).toBe('broken');
    expect(message).toBe(
      'zones.json beside the plates is not what it should be: {"face": {"cx", "cy", "rx", "ry"}} in fractions of the frame.',
    );
  });

  test('zones.json with a mark of byte order, as some editors write it, is read', async () => {
    const face = {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.2};
    const plates = await load({'dark.jpg': 1, 'zones.json': `\ufeff${JSON.stringify({face})}\r\n`});
    expect(plates.zones).toEqual({face});
  });

  test('a plate that can’t be decoded is named', async () => {
    const whole = await picture('a.jpg', 90);
    const cut = await faultOf(load({'dark.jpg': 1, 'light-A.jpg': whole.subarray(0, whole.length - 60)}));
    expect([cut.reason, cut.message]).toEqual([
      'broken',
      'light-A.jpg is damaged or cut off; it could not be decoded.',
    ]);
    expect((await faultOf(load({'dark.jpg': 1, 'b.jpg': ''}))).message).toMatch(/^b\.jpg is empty/);
    const folder = await folderOf({'dark.jpg': 1});
    mkdirSync(path.join(folder, 'light-A.jpg'));
    expect((await faultOf(loadPlates(folder))).message).toBe('light-A.jpg is not a file.');
  });
});

describe('plates of another size or shape than the frame', () => {
  const face = {cx: 0.5, cy: 0.4, rx: 0.12, ry: 0.25};
  /** A lit head, from the left (A) or from the right (B), or nothing. */
  const shot = (width: number, height: number, lit: readonly ('A' | 'B')[]): Promise<Buffer> => {
    const rgb = Buffer.alloc(width * height * 3, 4);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const u = ((x + 0.5) / width - face.cx) / face.rx;
        const v = ((y + 0.5) / height - face.cy) / face.ry;
        if (u * u + v * v > 1) continue;
        const detail = 0.75 + 0.25 * Math.sin(9 * u + 3 * v) * Math.sin(8 * v - 2 * u);
        let light = 0.002;
        for (const id of lit) light += 0.25 * detail * (id === 'A' ? Math.max(0.02, 0.6 - u) : Math.max(0.02, 0.6 + u));
        const code = Math.round(255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055));
        rgb.fill(Math.min(255, code), (y * width + x) * 3, (y * width + x) * 3 + 3);
      }
    }
    return sharp(rgb, {raw: {width, height, channels: 3}})
      .jpeg({quality: 92})
      .toBuffer();
  };
  const set = async (sizes: [dark: number[], a: number[], b: number[]]): Promise<PlateSet> =>
    load({
      'dark.jpg': await shot(sizes[0][0]!, sizes[0][1]!, []),
      'light-A.jpg': await shot(sizes[1][0]!, sizes[1][1]!, ['A']),
      'light-B.jpg': await shot(sizes[2][0]!, sizes[2][1]!, ['B']),
      'zones.json': JSON.stringify({face}),
    });
  const frameOf = async (bytes: Buffer): Promise<string> =>
    path.join(await folderOf({'frame.jpg': bytes}), 'frame.jpg');

  const another = /^The plates have another shape than this frame/;

  test('of another size, even among themselves, they measure the same', async () => {
    const plates = await set([
      [240, 160],
      [360, 240],
      [180, 120],
    ]);
    const reading = measurementSchema.parse(
      await measureFrame(await frameOf(await shot(240, 160, ['A'])), plates, null),
    );
    expect(reading.lights.map(({id, fired}) => [id, fired])).toEqual([
      ['A', true],
      ['B', false],
    ]);
    expect(Math.abs(reading.lights[0]!.ev!)).toBeLessThan(0.3);
    expect(reading.missing.some(sentence => another.test(sentence))).toBe(false);
  });

  test('upright where the frame lies, or lying where it stands, they measure and it is said', async () => {
    const plates = await set([
      [80, 120],
      [80, 120],
      [80, 120],
    ]);
    const reading = measurementSchema.parse(
      await measureFrame(await frameOf(await shot(120, 80, ['A'])), plates, null),
    );
    expect(reading.missing.some(sentence => another.test(sentence))).toBe(true);
  });

  test('turned by Exif they are as upright as the frame', async () => {
    const turned = await sharp(await shot(300, 200, ['A']))
      .rotate(270)
      .withMetadata({orientation: 6})
      .jpeg({quality: 92})
      .toBuffer();
    const {lights} = await load({'A.jpg': turned, 'B.jpg': await shot(300, 200, ['A'])});
    const [a, b] = lights.map(({frame}) => frame);
    expect([a!.width, a!.height]).toEqual([300, 200]);
    let apart = 0;
    for (let at = 0; at < b!.image.rgb.length; at++) apart += Math.abs(a!.image.rgb[at]! - b!.image.rgb[at]!);
    // Two JPEGs one after the other round twice.
    expect(apart / b!.image.rgb.length).toBeLessThan(1);
  });
});
