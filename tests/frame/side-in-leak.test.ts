import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import type {PlateSet} from '../../src/frame/plates.js';
import {plainRoom, platesIn, type QuickLeak, type QuickRoom, type QuickShot, shootFrame, still} from './quick-room.js';

/*
 * Daylight from one side: faint on a dark wall, strong on the half of the face that is turned to it. No plate shows that,
 * and it is as bright as a broad band of light would be.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-side-'));
afterAll(() => rmSync(folder, {recursive: true}));

const leak: QuickLeak = {side: 'right', level: 0.03, fall: 0.5, tint: [0.7, 0.85, 1]};
/** What the leak does to the head: as a light from its side. */
const litBy = (wrap: number, level: number): QuickRoom => ({
  ...plainRoom,
  lights: [...plainRoom.lights, {id: 'daylight', tint: leak.tint, from: {x: 0.97, y: 0}, wrap, level, spill: null}],
});

let plates: PlateSet;
beforeAll(async () => {
  plates = await platesIn(folder, plainRoom);
});

const read = async (room: QuickRoom, shot: Partial<QuickShot>) => {
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(room, {...still, leak, ...shot}));
  return measureFrame(file, plates, plates.zones);
};

describe('a face that is half lit by a leak', () => {
  it.each([
    {wrap: 0, level: 4, power: [1, 0, 1]},
    {wrap: -0.3, level: 3, power: [1, 0, 1]},
    {wrap: -0.3, level: 4, power: [0.7, 0, 1]},
  ])('is no trail: $level times as bright as white, light reaching around by $wrap', async ({wrap, level, power}) => {
    const {trail, ambient} = await read(litBy(wrap, level), {power});
    expect(ambient.side).toBe('right');
    expect(trail).toBeNull();
  });
});
