import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, describe, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {drawnHead} from './quick-head.js';
import {type Albedo, plainRoom, platesIn, type QuickRoom, type QuickShot, shootFrame, still} from './quick-room.js';

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
  return (await measureFrame(file, plates, plates.zones)).trail;
};

const swayed = (x: number, y: number): QuickShot => ({...still, sway: {x, y, turn: 0, scale: 1}});

/** A head, and a dark lantern with polished edges held up beside it. */
const withLantern: Albedo = (x, y) => {
  if (x < 0.85 || x > 1.25 || Math.abs(y) > 0.3) return drawnHead(x, y);
  const isEdge = Math.abs(x - 0.87) < 0.012 || Math.abs(x - 1.23) < 0.012 || Math.abs(Math.abs(y) - 0.28) < 0.012;
  return isEdge ? [0.8, 0.8, 0.75] : [0.02, 0.02, 0.02];
};

describe('is no trail', () => {
  it.each([
    [0.012, 0.006],
    [-0.012, 0.01],
    [0.004, -0.014],
  ])('what the sitter holds beside the head, which moved by %f, %f', async (x, y) => {
    expect(await readOf({...plainRoom, head: withLantern}, swayed(x, y))).toBeNull();
  });

  it.each([
    [0.014, 0],
    [-0.014, 0.004],
    [0, 0.016],
  ])('the edge of a pool of light on a head that moved through it by %f, %f', async (x, y) => {
    const pool = {x: 0.47, y: 0.36, radius: 0.075};
    const lights = plainRoom.lights.map((light, n) =>
      n === 0 ? {...light, wrap: 1, level: 1.2, pool} : {...light, level: 0.05},
    );
    expect(await readOf({...plainRoom, lights}, swayed(x, y))).toBeNull();
  });
});
