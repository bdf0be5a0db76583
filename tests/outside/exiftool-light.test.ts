import {execFileSync} from 'node:child_process';
import {mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import exifr from 'exifr';
import sharp from 'sharp';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {z} from 'zod';
import {apex, ev100} from '../../src/light/exposure.js';
import {depthOfField} from '../../src/light/focus.js';
import {needs} from '../needs.js';

/*
 * exiftool works out light value and depth of field from a file's tags: an independent program for the same formulas.
 * It takes H = f²/(N·c), the circle of confusion as the diagonal of 36 × 24 mm over 1440, and prints 0 for infinity.
 */
const CIRCLE_MILLIMETRES = Math.hypot(36, 24) / 1440;

const answerSchema = z.tuple([
  z.object({LightValue: z.number(), DOF: z.string(), HyperfocalDistance: z.number(), CircleOfConfusion: z.number()}),
]);

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'light-'));
});
afterAll(() => rmSync(folder, {recursive: true, force: true}));

type Tags = {fNumber: number; shutterSeconds: number; iso: number; focal: number; distance: number};

const apexSchema = z.object({ApertureValue: z.number(), ShutterSpeedValue: z.number()});

const photograph = async (name: string): Promise<string> => {
  const file = join(folder, name);
  await sharp({create: {width: 16, height: 16, channels: 3, background: '#000'}})
    .jpeg()
    .toFile(file);
  return file;
};

/** Makes a photograph that carries these settings, and lets exiftool work with them. */
const ask = async (tags: Tags) => {
  const file = await photograph(`${Object.values(tags).join('-')}.jpg`);
  const settings = [
    `-FNumber=${tags.fNumber}`,
    `-ExposureTime=${tags.shutterSeconds}`,
    `-ISO=${tags.iso}`,
    `-FocalLength=${tags.focal}`,
    `-FocalLengthIn35mmFormat=${tags.focal}`,
    `-SubjectDistance=${tags.distance}`,
  ];
  execFileSync('exiftool', ['-q', '-overwrite_original', ...settings, file]);
  const asked = ['-n', '-j', '-LightValue', '-DOF', '-HyperfocalDistance', '-CircleOfConfusion', file];
  const [answer] = answerSchema.parse(JSON.parse(execFileSync('exiftool', asked, {encoding: 'utf8'})));
  const [near, far] = answer.DOF.split(' ').map(Number);
  return {...answer, near: near!, far: far === 0 ? null : far!};
};

describe('exiftool', () => {
  for (const tags of [
    {fNumber: 10, shutterSeconds: 8, iso: 100, focal: 50, distance: 2},
    {fNumber: 8, shutterSeconds: 8, iso: 100, focal: 24, distance: 1.5},
    {fNumber: 11, shutterSeconds: 10, iso: 50, focal: 35, distance: 3},
    {fNumber: 5.6, shutterSeconds: 0.25, iso: 3200, focal: 85, distance: 2},
  ]) {
    const {fNumber, shutterSeconds, iso, focal, distance} = tags;
    it(`works out the same light value and depth for ${focal} mm f/${fNumber} ${shutterSeconds} s ISO ${iso} at ${distance} m`, async context => {
      needs(context, 'exiftool', 'libimage-exiftool-perl');
      const theirs = await ask(tags);
      expect(ev100({shutterSeconds, fNumber, iso})).toBeCloseTo(theirs.LightValue, 4);
      expect(theirs.CircleOfConfusion).toBeCloseTo(CIRCLE_MILLIMETRES, 9);
      const optics = {focalMillimetres: focal, fNumber, sensorWidthMillimetres: 36, sensorHeightMillimetres: 24};
      const ours = depthOfField(optics, distance, CIRCLE_MILLIMETRES);
      expect(ours.nearMetres).toBeCloseTo(theirs.near, 6);
      expect(ours.farMetres ?? Number.POSITIVE_INFINITY).toBeCloseTo(theirs.far ?? Number.POSITIVE_INFINITY, 5);
      // Theirs leaves out the focal length that the exact formula adds.
      expect(ours.hyperfocalMetres - focal / 1000).toBeCloseTo(theirs.HyperfocalDistance, 6);
    });
  }

  it.for([
    {fNumber: 10, shutterSeconds: 8},
    {fNumber: 8, shutterSeconds: 1 / 125},
    {fNumber: 2.8, shutterSeconds: 30},
  ])('writes the same APEX values for f/$fNumber and $shutterSeconds s', async ({fNumber, shutterSeconds}, context) => {
    needs(context, 'exiftool', 'libimage-exiftool-perl');
    const file = await photograph('apex.jpg');
    execFileSync('exiftool', [
      '-q',
      '-overwrite_original',
      `-ApertureValue=${fNumber}`,
      `-ShutterSpeedValue=${shutterSeconds}`,
      file,
    ]);
    const {ApertureValue, ShutterSpeedValue} = apexSchema.parse(await exifr.parse(file, {translateValues: false}));
    const {av, tv} = apex({fNumber, shutterSeconds, iso: 100});
    expect(av).toBeCloseTo(ApertureValue, 5);
    expect(tv).toBeCloseTo(ShutterSpeedValue, 5);
  });

  it('calls a wide lens sharp to infinity where we do', async context => {
    needs(context, 'exiftool', 'libimage-exiftool-perl');
    const theirs = await ask({fNumber: 8, shutterSeconds: 8, iso: 100, focal: 16, distance: 2});
    const optics = {focalMillimetres: 16, fNumber: 8, sensorWidthMillimetres: 36, sensorHeightMillimetres: 24};
    expect(theirs.far).toBeNull();
    expect(depthOfField(optics, 2, CIRCLE_MILLIMETRES).farMetres).toBeNull();
    expect(depthOfField(optics, 2, CIRCLE_MILLIMETRES).nearMetres).toBeCloseTo(theirs.near, 6);
  });
});
