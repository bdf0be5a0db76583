import {createHash} from 'node:crypto';
import {mkdirSync, mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {usualCueSheet} from '../../shared/cues.js';
import type {Exposure} from '../../shared/exposure.js';
import type {JournalEvent, Mark, ShootFile} from '../../shared/journal.js';
import type {Reading} from '../../shared/reading.js';
import {demoRig, type Rig} from '../../shared/rig.js';
import {judge} from '../../src/judge/judge.js';
import {openShoot} from '../../src/shoot/open-shoot.js';
import type {Shoot} from '../../src/shoot/state.js';
import {goodMeasurement, inputOf} from '../judge/readings.js';

export const exposure: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

export type MadeAttempt = {
  mark?: Mark;
  /** Names of the camera's files; those ending in .JPG are real JPEGs. */
  files?: string[];
  reading?: Reading | null;
  notes?: string[];
  rig?: Rig;
  exposure?: Exposure;
};

export type MadeShoot = {folder: string; shoot: Shoot; parent: string};

/** A reading whose spill of B and head gap are these. */
export const readingWith = (spillB: number, headGap = 0.5): Reading => {
  const measurement = {
    ...goodMeasurement,
    spill: goodMeasurement.spill.map(patch => (patch.light === 'B' ? {...patch, levelEv: spillB} : patch)),
    trail: goodMeasurement.trail && {...goodMeasurement.trail, headGap},
  };
  return {...measurement, ...judge(inputOf(measurement))};
};

/** A dark frame with a lit oval: enough for a picture on a sheet. */
const frame = (number: number): Promise<Buffer> =>
  sharp({create: {width: 600, height: 400, channels: 3, background: '#06060a'}})
    .composite([
      {
        input: Buffer.from(
          `<svg xmlns="http://www.w3.org/2000/svg" width="600" height="400"><ellipse cx="300" cy="190" rx="52" ry="72" fill="#d9a066"/><path d="M${150 + number * 4} 120 q150 -${60 + number * 5} 300 0" stroke="#ffd27a" stroke-width="7" fill="none"/></svg>`,
        ),
      },
    ])
    .jpeg()
    .toBuffer();

/** A shoot on the disk with its journal, made of these attempts; attempt 1 is the first. */
export const makeShoot = async (
  attempts: MadeAttempt[],
  {name = 'lantern-keeper', plates = true}: {name?: string; plates?: boolean} = {},
): Promise<MadeShoot> => {
  const parent = mkdtempSync(path.join(tmpdir(), 'darkset-wrap-'));
  let seconds = 0;
  const now = (): Date => new Date(Date.UTC(2026, 2, 14, 20, 0, seconds++));
  const opened = await openShoot(path.join(parent, name), {program: 'darkset test', now});
  const {folder} = opened;
  const add = (event: JournalEvent): Promise<unknown> => opened.append(event);

  const put = async (file: string, number: number): Promise<ShootFile> => {
    const isJpeg = /\.jpe?g$/i.test(file);
    const bytes = isJpeg ? await frame(number) : Buffer.from(`raw data of ${file}`.repeat(500));
    mkdirSync(path.dirname(path.join(folder, file)), {recursive: true});
    writeFileSync(path.join(folder, file), bytes);
    const sha256 = createHash('sha256').update(bytes).digest('hex');
    const kind = isJpeg ? 'jpeg' : 'raw';
    return {path: file, nameOnCamera: path.basename(file), kind, bytes: bytes.length, sha256};
  };

  await add({kind: 'exposure-set', exposure});
  await add({kind: 'rig-set', rig});
  if (plates) {
    for (const plate of ['dark', 'light A', 'light B', 'sitter'] as const) {
      const files = [await put(`plates/${plate.replace(' ', '-')}.jpg`, 0)];
      await add({kind: 'plate-taken', plate, exposure, files});
    }
  }
  for (const [index, made] of attempts.entries()) {
    const attempt = index + 1;
    if (made.rig) await add({kind: 'rig-set', rig: made.rig});
    const settings = made.exposure ?? exposure;
    await add({kind: 'attempt-begun', attempt, exposure: settings, cues: usualCueSheet(8), told: [], series: false});
    await add({kind: 'shutter-opened', attempt});
    await add({kind: 'shutter-closed', attempt, openSeconds: 8.003});
    for (const file of made.files ?? [`DSC_${100 + attempt}.JPG`]) {
      const pulled = await put(`attempts/${String(attempt).padStart(3, '0')}/${file}`, attempt);
      await add({kind: 'frame-pulled', attempt, file: pulled});
    }
    const reading = made.reading === undefined ? readingWith(-5 - attempt * 0.4) : made.reading;
    if (reading) await add({kind: 'measured', attempt, reading});
    else await add({kind: 'unmeasured', attempt, why: 'The frame can’t be read.'});
    if (made.mark) await add({kind: 'marked', attempt, mark: made.mark});
    for (const text of made.notes ?? []) await add({kind: 'noted', attempt, text});
  }
  const shoot = opened.shoot();
  await opened.close();
  return {folder, shoot, parent};
};

/** The rig of these shoots: the demo's, with the numbers that tests name held fast. */
const rig: Rig = {
  ...demoRig,
  lights: demoRig.lights.map(light => ({...light, power: 1 / 4, distanceMetres: 1.2})),
};

/** That rig with light B elsewhere. */
export const rigWithB = (change: Partial<Rig['lights'][number]>): Rig => ({
  ...rig,
  lights: rig.lights.map(light => (light.id === 'B' ? {...light, ...change} : light)),
});

/** Text that tries everything: markup, entities, controls, bidi, a lone surrogate, noncharacters, a formula, quotes. */
export const hostileText =
  '=1+1 <b>&amp;</b> ]]> "q" \'s\' --> \u0000\u0007\u001b[31m \u202egnp.exe\u2066 \ud800 \ufffe\uffff 😀 é';
