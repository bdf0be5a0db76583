import {mkdirSync, mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {afterAll, expect, test} from 'vitest';
import type {PlateName} from '../../shared/journal.js';
import {linearOfLevel} from '../../shared/level.js';
import type {Zones} from '../../shared/zones.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';
import {emptyShoot} from '../../src/shoot/fold.js';
import type {Shoot} from '../../src/shoot/state.js';
import {comparePlates} from '../../src/wrap/compare-plates.js';
import {plateLevels} from '../../src/wrap/plate-levels.js';
import {exposure} from './made-shoot.js';

const measurer = openMeasurer();
afterAll(() => measurer.close());

const zones: Zones = {face: {cx: 0.5, cy: 0.45, rx: 0.1, ry: 0.2}};

/** sRGB code of a linear value (IEC 61966-2-1). */
const code = (linear: number): number =>
  Math.round(255 * (linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055));

/** A frame whose face lies at one level and whose wall at another, EV around middle grey. */
const frame = (faceEv: number, wallEv: number): Promise<Buffer> => {
  const [width, height] = [600, 400];
  const [face, wall] = [code(linearOfLevel(faceEv)), code(linearOfLevel(wallEv))];
  const pixels = Buffer.alloc(width * height * 3, wall);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const away = ((x / width - 0.5) / 0.11) ** 2 + ((y / height - 0.45) / 0.22) ** 2;
      if (away <= 1) pixels.fill(face, (y * width + x) * 3, (y * width + x) * 3 + 3);
    }
  }
  return sharp(pixels, {raw: {width, height, channels: 3}})
    .jpeg({quality: 95, chromaSubsampling: '4:4:4'})
    .toBuffer();
};

const shootWith = async (
  plates: [PlateName, faceEv: number, wallEv: number][],
): Promise<{shoot: Shoot; folder: string}> => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-levels-'));
  mkdirSync(path.join(folder, 'plates'));
  const taken: Shoot['plates'] = [];
  for (const [plate, faceEv, wallEv] of plates) {
    const file = `plates/${plate.replace(' ', '-')}.jpg`;
    writeFileSync(path.join(folder, file), await frame(faceEv, wallEv));
    const files = [{path: file, nameOnCamera: 'a.jpg', kind: 'jpeg' as const, bytes: 1, sha256: '0'.repeat(64)}];
    taken.push({plate, exposure, files, at: '2026-03-14T20:00:00Z'});
  }
  return {shoot: {...emptyShoot(), zones, plates: taken}, folder};
};

test('plates of two evenings, measured from their files, tell which light changed and by how much', async () => {
  const before = await shootWith([
    ['dark', -10, -6],
    ['light A', -1, -5],
    ['light B', -1.5, -5],
  ]);
  const now = await shootWith([
    ['dark', -10, -6],
    ['light A', -1, -5],
    ['light B', -0.9, -5],
  ]);
  const compared = comparePlates(await plateLevels(before, measurer), await plateLevels(now, measurer));
  expect(compared.map(({say}) => say)).toEqual([
    'The room is as last time.',
    'A is as last time.',
    'B is 0.6 EV brighter than last time.',
  ]);
  expect(compared[2]!.changeEv).toBeCloseTo(0.6, 1);
});

test('a plate that can’t be read has no levels and does not stop the others', async () => {
  const {shoot, folder} = await shootWith([
    ['light A', -1, -5],
    ['light B', -1, -5],
  ]);
  writeFileSync(path.join(folder, 'plates/light-A.jpg'), 'no picture');
  const levels = await plateLevels({shoot, folder}, measurer);
  expect(levels[0]).toMatchObject({plate: 'light A', faceEv: null, wallEv: null});
  expect(levels[1]!.faceEv).toBeCloseTo(-1, 1);
});
