import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickRoom, type QuickShot, type QuickTrail, shootFrame, still} from './quick-room.js';
import {trailTruth} from './quick-trail.js';

/*
 * A pulsed lamp draws dashes, and one of them may lie within the face with nothing near it. Bright as it is, it is a trail
 * where others are drawn beside the head, no less than where there are none; and so it is if it is no brighter than a
 * bright face, but a dash like the others.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-dash-'));
afterAll(() => rmSync(folder, {recursive: true}));

const roomOf = (level: number): QuickRoom => ({
  ...plainRoom,
  lights: plainRoom.lights.map(light => ({...light, level})),
});
/** Flashes so weak that a lamp outshines all of the face; and as they mostly are. */
const WEAK = 0.25;
const USUAL = 0.75;

const SHARP = 0.004;
const SOFT = 0.0055;

const dash = (points: QuickTrail['points'], sigma: number, ev = 2.6): QuickTrail => ({
  points,
  sigma,
  ev,
  tint: [1, 0.75, 0.95],
  dash: null,
  behind: false,
});

/** Dashes around the head, clear of it. */
const around = (sigma: number): QuickTrail[] =>
  Array.from({length: 14}, (_, n) => {
    const {cx, cy, rx, ry} = plainRoom.face;
    const point = (turn: number): readonly [number, number] => [
      cx + 1.7 * rx * Math.cos(turn),
      cy + 1.5 * ry * Math.sin(turn),
    ];
    const from = (2 * Math.PI * n) / 14;
    return dash([point(from), point(from + 0.15)], sigma);
  });
const onFace = (sigma: number, ev?: number): QuickTrail =>
  dash(
    [
      [0.54, 0.36],
      [0.538, 0.388],
    ],
    sigma,
    ev,
  );
/** Every other one dimmer: the lamp looked aside. */
const DIM = 0.5;
const uneven = around(SHARP).map((one, n) => (n % 2 === 0 ? one : {...one, ev: DIM}));

it.each([
  ['dashes around the head', around(SHARP), WEAK, 0],
  ['one of them within the face', [...around(SHARP), onFace(SHARP)], WEAK, 0.01],
  ['one of them within a bright face', [...around(SHARP), onFace(SHARP)], USUAL, 0.01],
  ['uneven ones around the head', uneven, WEAK, 0],
  ['one of the dimmer within the face', [...uneven, onFace(SHARP, DIM)], WEAK, 0.008],
  ['softer ones around a bright face', around(SOFT), USUAL, 0],
  ['one of the softer within a bright face', [...around(SOFT), onFace(SOFT)], USUAL, 0.01],
] as const)('are told from the face: %s', async (_, trails, level, least) => {
  const room = roomOf(level);
  const plates = await platesIn(folder, room);
  const shot: QuickShot = {...still, trails: [...trails]};
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(room, shot));
  const {trail} = await measureFrame(file, plates, plates.zones);
  const truth = trailTruth(room, shot, false);
  expect(truth.crossing).toBeGreaterThanOrEqual(least);
  expect(Math.abs(trail!.crossing - truth.crossing)).toBeLessThan(0.004);
  expect(Math.abs(trail!.coverage - truth.coverage)).toBeLessThanOrEqual(0.04);
});
