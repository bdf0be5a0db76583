import {execFileSync} from 'node:child_process';
import {mkdtemp, readFile, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import exifr from 'exifr';
import sharp from 'sharp';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {openStudio, type StudioOptions} from '../../../adapters/studio/studio.js';
import type {CameraFault} from '../../../shared/camera.js';
import type {Exposure} from '../../../shared/exposure.js';
import type {Arrangement} from '../../../shared/room.js';
import {needs} from '../../needs.js';
import {arrangementOf} from './scene.js';

const never = new AbortController().signal;
const ignore = (): void => undefined;
let folder: string;
let count = 0;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'darkset-frames-'));
});
afterAll(() => rm(folder, {recursive: true, force: true}));

type Studio = Awaited<ReturnType<typeof openStudio>>;

const withStudio = async <Result>(
  options: StudioOptions,
  work: (studio: Studio) => Promise<Result>,
): Promise<Result> => {
  const studio = await openStudio({seed: 11, speed: 100, megapixels: 0.06, ...options});
  try {
    return await work(studio);
  } finally {
    await studio.camera.close();
  }
};

/** Exposes and pulls; the path of the JPEG. */
const frameOf = async (
  {camera, room}: Studio,
  arrange: Partial<Arrangement> = {},
  exposure: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100},
  signal = never,
): Promise<string> => {
  room.arrange(arrangementOf(arrange));
  await camera.set(exposure);
  const [frame] = await camera.expose({seconds: exposure.shutterSeconds, signal, onOpen: ignore, onClose: ignore});
  count += 1;
  const path = join(folder, `${count}.jpg`);
  await camera.pull(frame!, path, ignore, never);
  return path;
};

const pixelsOf = (path: string): Promise<Buffer> => sharp(path).raw().toBuffer();
const meanOf = (pixels: Buffer): number => pixels.reduce((sum, value) => sum + value, 0) / pixels.length;

const exifOf = (path: string): Record<string, unknown> => {
  const [tags] = JSON.parse(execFileSync('exiftool', ['-json', '-n', '-G0', path], {encoding: 'utf8'}));
  return tags;
};

// Starting the thread and building the set takes its time on a busy machine.
const patience = {timeout: 120_000};

describe('The studio camera’s frames', patience, () => {
  it('carry Exif that exiftool reads as it was set', async context => {
    needs(context, 'exiftool', 'libimage-exiftool-perl');
    const takenAt = new Date(2026, 10, 25, 21, 4, 5, 678);
    await withStudio({wallTime: () => takenAt}, async studio => {
      const path = await frameOf(studio, {}, {shutterSeconds: 8, fNumber: 10, iso: 50});
      const tags = exifOf(path);
      expect(tags).toMatchObject({
        'EXIF:ExposureTime': 8,
        'EXIF:FNumber': 10,
        'EXIF:ISO': 50,
        'EXIF:FocalLength': 50,
        'EXIF:Make': 'darkset',
        'EXIF:Model': 'studio camera',
        'EXIF:DateTimeOriginal': '2026:11:25 21:04:05',
        'EXIF:ExifImageWidth': tags['File:ImageWidth'],
        'EXIF:ExifImageHeight': tags['File:ImageHeight'],
        // exiftool turns the APEX values back: Tv −3 is 8 s, Av 6.643856 is f/10.
        'EXIF:ShutterSpeedValue': 8,
        'Composite:Aperture': 10,
        'Composite:ShutterSpeed': 8,
      });
      expect(Number(tags['EXIF:SubSecTimeOriginal'])).toBe(678);
      expect(Number(tags['EXIF:ApertureValue'])).toBeCloseTo(10, 4);
      // EV100 of f/10, 8 s at ISO 50 is 3.6439 + 1 (references.md section 1).
      expect(Number(tags['Composite:LightValue'])).toBeCloseTo(4.6439, 3);
      expect(tags['ExifTool:Warning']).toBeUndefined();
      const problems = execFileSync('exiftool', ['-validate', '-warning', '-error', '-s3', path], {encoding: 'utf8'});
      expect(problems.trim()).toBe('OK');
    });
  });

  it('carry every kind of setting as exifr reads it', async () => {
    const settings: Exposure[] = [
      {shutterSeconds: 1 / 125, fNumber: 2.8, iso: 400},
      {shutterSeconds: 0.25, fNumber: 5.6, iso: 3200},
      {shutterSeconds: 1.3, fNumber: 22, iso: 25_600},
      {shutterSeconds: 45, fNumber: 9, iso: 64},
    ];
    await withStudio({}, async studio => {
      for (const exposure of settings) {
        const tags = await exifr.parse(await frameOf(studio, {sitter: false}, exposure));
        expect(tags.ExposureTime).toBeCloseTo(exposure.shutterSeconds, 9);
        expect(tags.FNumber).toBe(exposure.fNumber);
        expect(tags.ISO).toBe(exposure.iso);
      }
    });
  });

  it('are the same to the last pixel for the same seed and the same evening', async () => {
    const evening = (seed: number): Promise<Buffer[]> =>
      withStudio({seed}, async studio => [
        await pixelsOf(await frameOf(studio, {firing: [], sitter: false})),
        await pixelsOf(await frameOf(studio, {firing: ['A']})),
        await pixelsOf(await frameOf(studio, {painting: true})),
      ]);
    const first = await evening(21);
    const again = await evening(21);
    const other = await evening(22);
    for (const [i, pixels] of first.entries()) {
      expect(pixels.equals(again[i]!)).toBe(true);
      expect(pixels.equals(other[i]!)).toBe(false);
    }
  });

  it('have about 24 megapixels when asked, in the shape of the sensor', async () => {
    await withStudio({megapixels: 24, speed: 4000}, async studio => {
      const {width, height} = await sharp(await frameOf(studio, {sitter: false, firing: []})).metadata();
      expect((width * height) / 1e6).toBeGreaterThan(23.5);
      expect((width * height) / 1e6).toBeLessThan(24.5);
      expect(width / height).toBeCloseTo(1.5, 2);
    });
  }, 240_000);

  it('keep their hot pixels in the same places, brighter the longer the shutter is open', async () => {
    const hotIn = (pixels: Buffer): number[] =>
      [...pixels.entries()].filter(([, value]) => value > 100).map(([at]) => at);
    await withStudio({megapixels: 0.5, room: {leak: null}, quality: 100}, async studio => {
      const dark = {firing: [], sitter: false};
      const first = hotIn(await pixelsOf(await frameOf(studio, dark, {shutterSeconds: 30, fNumber: 8, iso: 800})));
      const second = hotIn(await pixelsOf(await frameOf(studio, dark, {shutterSeconds: 30, fNumber: 8, iso: 800})));
      const short = hotIn(await pixelsOf(await frameOf(studio, dark, {shutterSeconds: 0.25, fNumber: 8, iso: 800})));
      expect(first.length).toBeGreaterThan(2);
      const shared = first.filter(at => second.includes(at));
      expect(shared.length).toBeGreaterThan(first.length * 0.6);
      expect(short.length).toBeLessThan(first.length / 2);
    });
  });

  it('are noisier at ISO 6400 for the same light: a probe of ¼ s against 16 s at ISO 100', async () => {
    // What two frames of the same thing differ by is noise alone.
    const noiseOf = (a: Buffer, b: Buffer): number =>
      Math.sqrt(a.reduce((sum, value, i) => sum + (value - b[i]!) ** 2, 0) / a.length / 2);
    await withStudio({megapixels: 1, room: {lightsOffEv100: 0.5, leak: null}, quality: 100}, async studio => {
      const dark = {firing: [], sitter: false};
      const shoot = async (exposure: Exposure): Promise<Buffer> => pixelsOf(await frameOf(studio, dark, exposure));
      const probe = {shutterSeconds: 0.25, fNumber: 8, iso: 6400};
      const long = {shutterSeconds: 16, fNumber: 8, iso: 100};
      const probes = [await shoot(probe), await shoot(probe)] as const;
      const longs = [await shoot(long), await shoot(long)] as const;
      expect(Math.abs(meanOf(probes[0]) - meanOf(longs[0]))).toBeLessThan(4);
      expect(noiseOf(...probes)).toBeGreaterThan(noiseOf(...longs) * 1.7);
    });
  });

  it('hold only what happened until the exposure was stopped', async context => {
    needs(context, 'exiftool', 'libimage-exiftool-perl');
    await withStudio({speed: 20}, async studio => {
      const whole = await frameOf(studio, {painting: true});
      const stopping = new AbortController();
      // 8 s go by in 400 ms here; the flash comes at 6.5 s.
      setTimeout(() => stopping.abort(), 150);
      const cut = await frameOf(studio, {painting: true}, undefined, stopping.signal);
      const seconds = Number(exifOf(cut)['EXIF:ExposureTime']);
      expect(seconds).toBeGreaterThan(0.5);
      expect(seconds).toBeLessThan(8);
      expect(meanOf(await pixelsOf(cut))).toBeLessThan(meanOf(await pixelsOf(whole)));
    });
  });

  it('answer to the curve: plain sRGB puts −1.64 EV where the table of levels says', async () => {
    await withStudio({contrast: 0, room: {leak: null, lightsOffEv100: 3.8}, quality: 100}, async studio => {
      const dark = {firing: [], sitter: false};
      const linearMean = async (exposure: Exposure): Promise<number> => {
        const pixels = await pixelsOf(await frameOf(studio, dark, exposure));
        let sum = 0;
        for (const value of pixels) sum += value > 10.3 ? ((value / 255 + 0.055) / 1.055) ** 2.4 : value / 255 / 12.92;
        return sum / pixels.length;
      };
      const before = await linearMean({shutterSeconds: 8, fNumber: 8, iso: 100});
      const after = await linearMean({shutterSeconds: 8, fNumber: 10, iso: 50});
      expect(Math.log2(after / before)).toBeCloseTo(-1.6439, 1);
    });
  });
});

describe('The studio camera’s card', patience, () => {
  it('refuses to expose when it is full, before the shutter opens', async () => {
    await withStudio({cardFrames: 1}, async studio => {
      await frameOf(studio, {sitter: false});
      expect((await studio.camera.status()).freeFrames).toBe(0);
      const fault: CameraFault = await frameOf(studio, {sitter: false}).then(
        () => {
          throw new Error('was not refused');
        },
        error => error,
      );
      expect(fault.reason).toBe('full');
    });
  });

  it('keeps a frame whose exposure nobody waited for, and gives it to the next connection', async () => {
    const card = join(folder, 'card');
    const since = Date.now() - 1000;
    const {camera, hands} = await openStudio({seed: 11, speed: 100, megapixels: 0.06, cardFolder: card});
    await hands.press(1);
    await camera.close();
    await withStudio({cardFolder: card}, async studio => {
      const [stray] = await studio.camera.strays(since);
      expect(stray?.name).toBe('ROOM0001.JPG');
      const path = join(folder, 'stray.jpg');
      await studio.camera.pull(stray!, path, ignore, never);
      expect((await readFile(path)).length).toBe(stray!.bytes);
      expect(await frameOf(studio, {sitter: false})).toBeTruthy();
      expect((await studio.camera.strays(since)).map(frame => frame.name)).toEqual(['ROOM0001.JPG']);
    });
  });

  it('is gone with the camera when none was given', async () => {
    const {readdir} = await import('node:fs/promises');
    const cards = async (): Promise<number> =>
      (await readdir(tmpdir())).filter(name => name.startsWith('darkset-card-')).length;
    const {camera} = await openStudio({megapixels: 0.06});
    const before = await cards();
    await camera.close();
    expect(await cards()).toBe(before - 1);
  });
});
