import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {drawnHead} from './quick-head.js';
import {
  type Albedo,
  plainRoom,
  platesIn,
  type QuickLight,
  type QuickRoom,
  type QuickShot,
  shootFrame,
  still,
} from './quick-room.js';

/*
 * A head that moved takes along what the sitter holds, out where wall is expected, and moves through pools of light that stay.
 * Both show as bright, sharp things that the plates have elsewhere; neither is a trail.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-edges-'));
afterAll(() => rmSync(folder, {recursive: true}));

const readOf = async (room: QuickRoom, shot: QuickShot) => {
  const plates = await platesIn(folder, room);
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(room, shot));
  return measureFrame(file, plates, plates.zones);
};

const swayed = (x: number, y: number): QuickShot => ({...still, sway: {x, y, turn: 0, scale: 1}});

/** A head, and a dark lantern with polished edges held up beside it. */
const withLantern: Albedo = (x, y) => {
  if (x < 0.85 || x > 1.25 || Math.abs(y) > 0.3) return drawnHead(x, y);
  const isEdge = Math.abs(x - 0.87) < 0.012 || Math.abs(x - 1.23) < 0.012 || Math.abs(Math.abs(y) - 0.28) < 0.012;
  return isEdge ? [0.8, 0.8, 0.75] : [0.02, 0.02, 0.02];
};

/** The plain room, but for one light through a snoot and another that is weak. */
const withPool = (x: number, y: number, radius: number): QuickRoom => {
  const [snooted, other] = plainRoom.lights as [QuickLight, QuickLight];
  const lights = [
    {...snooted, wrap: 1, level: 1.6, pool: {x, y, radius}},
    {...other, level: 0.15},
  ];
  return {...plainRoom, lights};
};

it.each([
  [0.012, 0.006],
  [-0.012, 0.01],
  [0.004, -0.014],
])('what the sitter holds beside a head that moved by %f, %f is no trail', async (x, y) => {
  expect((await readOf({...plainRoom, head: withLantern}, swayed(x, y))).trail).toBeNull();
});

it.each([
  [0.07, 0.56, 0.36, 0.018, 0],
  [0.09, 0.56, 0.36, 0.018, 0],
  [0.09, 0.44, 0.42, 0, 0.02],
])('a pool %f wide at %f, %f is read right where the head moved through it by %f, %f', async (radius, u, v, x, y) => {
  const {trail, lights} = await readOf(withPool(u, v, radius), swayed(x, y));
  expect(trail).toBeNull();
  expect(lights.map(({fired}) => fired)).toEqual([true, true]);
  for (const {ev} of lights) expect(Math.abs(ev!)).toBeLessThan(0.1);
});
