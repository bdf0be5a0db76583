import {execFileSync} from 'node:child_process';
import {copyFileSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {afterAll, beforeAll, expect, test} from 'vitest';
import {openInbox} from '../../adapters/inbox/inbox.js';
import {plateNameSchema} from '../../shared/journal.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';
import {judge} from '../../src/judge/judge.js';
import {fastClock} from '../../src/shoot/cue-clock.js';
import {openSession} from '../../src/shoot/session.js';
import type {Intent, Session} from '../../src/shoot/state.js';
import {planWrap} from '../../src/wrap/plan-wrap.js';
import {wrapUp} from '../../src/wrap/wrap-up.js';
import {darkset} from '../built-program.js';
import {needs} from '../needs.js';
import {fakeSound} from '../shoot/fakes.js';

/*
 * The main job on real input: real photographs (scikit-image's public-domain portrait and a CC0 photograph), with real
 * Exif written by exiftool, dropped into a folder as a camera's sender would, are pulled, measured, judged, journaled,
 * kept, handed off and verified. Only the clock of the countdown runs faster than a person could walk.
 */

const data = '/usr/lib/python3/dist-packages/skimage/data';
const folder = mkdtempSync(path.join(tmpdir(), 'darkset-real-'));
const inbox = path.join(folder, 'inbox');
const ready = path.join(folder, 'ready');
const shootFolder = path.join(folder, 'lantern-keeper');
afterAll(() => rmSync(folder, {recursive: true, force: true}));

const exif = [
  '-ExposureTime=8',
  '-FNumber=8',
  '-ISO=100',
  '-DateTimeOriginal=2026:01:02 20:15:00',
  '-overwrite_original',
];

/** A frame of the portrait: scaled in linear light, so that it is a flash plate, or nothing at all. */
const makeFrames = async (): Promise<void> => {
  mkdirSync(inbox);
  mkdirSync(ready);
  const portrait = path.join(data, 'astronaut.png');
  const photograph = sharp(portrait).resize(600, 600).removeAlpha();
  const shaded = async (name: string, weight: (x: number) => number): Promise<void> => {
    const {data: pixels, info} = await photograph.clone().raw().toBuffer({resolveWithObject: true});
    for (let index = 0; index < pixels.length; index += 3) {
      const x = ((index / 3) % info.width) / info.width;
      const y = Math.floor(index / 3 / info.width) / info.height;
      // Only the head and shoulders are lit: the room behind is dark.
      const lit = Math.exp(-(((x - 0.44) / 0.2) ** 2) - ((y - 0.24) / 0.26) ** 2) * weight(x);
      for (let channel = 0; channel < 3; channel += 1)
        pixels[index + channel] = pixels[index + channel]! * lit ** (1 / 2.2);
    }
    await sharp(pixels, {raw: {width: info.width, height: info.height, channels: 3}})
      .jpeg({quality: 92})
      .toFile(path.join(ready, name));
  };
  await shaded('dark.jpg', () => 0.00002);
  await shaded('a.jpg', x => 1 / (1 + Math.exp((x - 0.44) * 18)));
  await shaded('b.jpg', x => 1 / (1 + Math.exp((0.44 - x) * 18)));
  await shaded('both.jpg', () => 1);
  await sharp(path.join(data, 'chelsea.png')).jpeg({quality: 90}).toFile(path.join(ready, 'stranger.jpg'));
  execFileSync('exiftool', ['-q', ...exif, ready]);
};

let session: Session | null = null;

beforeAll(async () => {
  if (existsSync(path.join(data, 'astronaut.png'))) await makeFrames();
});
afterAll(() => session?.close());

const until = async (what: string, holds: () => boolean): Promise<void> => {
  const patience = Date.now() + 25_000;
  while (!holds()) {
    if (Date.now() > patience)
      throw new Error(`${what}: ${JSON.stringify(session!.state().activity)} ${session!.state().message?.say}`);
    await new Promise(resolve => setTimeout(resolve, 20));
  }
};

const doing = (): string => session!.state().activity.kind;

/** Says it, waits until the camera's file is awaited, drops the file. */
const shoot = async (intents: Intent[], file: string, as: string): Promise<void> => {
  for (const intent of intents) session!.send(intent);
  await until('a file is awaited', () => doing() === 'waiting for a file' || doing() === 'open');
  copyFileSync(path.join(ready, file), path.join(inbox, as));
  await until('the exposure is over', () => doing() === 'resting');
};

test('a real photograph through the inbox is measured, judged, journaled, kept, wrapped and verified', {
  timeout: 120_000,
}, async context => {
  needs(context, {python: 'skimage'}, 'python3-skimage');
  needs(context, 'exiftool', 'libimage-exiftool-perl');
  const clock = fastClock(60);
  session = await openSession({
    folder: shootFolder,
    program: 'darkset test',
    cameras: {open: () => openInbox({folder: inbox, clock, settleMs: 100, siblingMs: 100})},
    room: null,
    sound: fakeSound(),
    clock,
    speed: 60,
    measurer: openMeasurer(),
    judge,
    planWrap,
    wrapUp,
    keepAwake: async () => () => {},
  });
  await until('the folder is watched', () => session!.state().camera.kind === 'connected');
  session.send({kind: 'go on'});
  await until('the plan is agreed to', () => session!.state().shoot.planned === true);

  const plates = [
    ['dark', 'dark.jpg'],
    ['light A', 'a.jpg'],
    ['light B', 'b.jpg'],
    ['sitter', 'both.jpg'],
  ] as const;
  for (const [index, [plate, file]] of plates.entries()) {
    await shoot([{kind: 'take plate', plate: plateNameSchema.parse(plate)}], file, `IMG_000${index + 1}.JPG`);
  }
  expect(session.state().shoot.plates.map(({plate}) => plate)).toEqual(['dark', 'light A', 'light B', 'sitter']);
  session.send({kind: 'set zones', zones: {face: {cx: 0.443, cy: 0.2, rx: 0.145, ry: 0.176}}});
  await until('the face is set', () => session!.state().shoot.zones !== null);

  const attempt = async (file: string, as: string): Promise<void> => {
    session!.send({kind: 'begin attempt'});
    await until('the preflight is shown', () => doing() === 'preflight');
    await shoot([{kind: 'go on'}], file, as);
  };
  await attempt('both.jpg', 'IMG_0005.JPG');
  await attempt('a.jpg', 'IMG_0006.JPG');
  await attempt('stranger.jpg', 'IMG_0007.JPG');

  const {attempts} = session.state().shoot;
  expect(attempts.map(({stage}) => stage)).toEqual(['measured', 'measured', 'measured']);
  const [both, onlyA] = attempts.map(({reading}) => reading!);
  expect(both!.frame.exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
  expect(both!.lights.map(({id, fired}) => [id, fired])).toEqual([
    ['A', true],
    ['B', true],
  ]);
  expect(onlyA!.lights.map(({id, fired}) => [id, fired])).toEqual([
    ['A', true],
    ['B', false],
  ]);
  expect(both!.trail).toBeNull();
  expect(onlyA!.checks.filter(({state}) => state === 'fail').map(({id}) => id)).toContain('flash B');
  expect(onlyA!.advice[0]?.do).toMatch(/\S/);

  session.send({kind: 'mark', attempt: 1, mark: 'keep'});
  await until('the keep is written', () => session!.state().shoot.attempts[0]?.mark === 'keep');
  const destination = path.join(folder, 'handed-off');
  session.send({kind: 'plan wrap', folder: destination, maybeToo: false});
  await until('the wrap is planned', () => session!.state().wrapPlan !== null);
  session.send({kind: 'wrap'});
  await until('the wrap is done', () => session!.state().shoot.wraps.length === 1);
  await session.close();
  session = null;

  const [wrap] = readdirSync(destination);
  const pictures = path.join(destination, wrap!, 'data/pictures');
  const kept = readdirSync(pictures).filter(name => /\.jpe?g$/i.test(name));
  expect(kept).toHaveLength(1);
  expect(readFileSync(path.join(pictures, kept[0]!)).equals(readFileSync(path.join(ready, 'both.jpg')))).toBe(true);
  expect(
    execFileSync('sha256sum', ['-c', '--quiet', 'manifest-sha256.txt'], {
      cwd: path.join(destination, wrap!),
      encoding: 'utf8',
    }),
  ).toBe('');
  expect(readdirSync(inbox)).toHaveLength(7);

  expect(darkset(['verify', shootFolder]).code).toBe(0);
  expect(JSON.parse(darkset(['attempts', shootFolder, '--json']).out)).toHaveLength(3);
});
