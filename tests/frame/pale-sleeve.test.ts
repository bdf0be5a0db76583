import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import type {PlateSet} from '../../src/frame/plates.js';
import {plainRoom, platesIn, type QuickLeak, type QuickRoom, type QuickShot, shootFrame, still} from './quick-room.js';

/*
 * A pale sleeve before a dark wall. A leak from its side makes its rim bright, and only that: a line along the sitter, as
 * bright as a trail. That it is paler than the wall the dark plate shows.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-sleeve-'));
afterAll(() => rmSync(folder, {recursive: true}));

/** An upright sleeve on the right, with a rim along its outer edge. */
const isSleeve = (x: number, y: number): boolean => x > 0.62 && x < 0.78 && y > 0.7;
const isRim = (x: number, y: number): boolean => x > 0.75 && isSleeve(x, y);
const room: QuickRoom = {
  ...plainRoom,
  darkLevel: 0.003,
  reflects: (x, y) => ({own: isSleeve(x, y) ? 3 : 1, leak: isRim(x, y) ? 8 : 1}),
};
const leak: QuickLeak = {side: 'right', level: 0.1, fall: 0.6, tint: [1, 0.9, 0.8]};

let plates: PlateSet;
beforeAll(async () => {
  plates = await platesIn(folder, room);
});

const read = async (shot: Partial<QuickShot>) => {
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(room, {...still, ...shot}));
  return measureFrame(file, plates, plates.zones);
};

describe('a pale sleeve with a leak on its rim', () => {
  it('is no trail', async () => {
    const {trail, ambient} = await read({leak});
    expect(ambient.side).toBe('right');
    expect(trail).toBeNull();
  });

  it('hides none that is drawn along it', async () => {
    const points = [0.6, 0.7, 0.8, 0.95].map(y => [0.77, y] as const);
    const trails = [{points, sigma: 0.004, ev: 3, tint: [0.4, 1, 0.6] as const, dash: null, behind: false}];
    const {trail} = await read({leak, trails});
    expect(trail?.offset.x).toBeGreaterThan(0.5);
  });
});
