import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickShot, shootFrame, still} from './quick-room.js';

/*
 * A flash three stops down shows little on the face. So does a faint leak from its side, which also lies on the wall.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-weak-'));
afterAll(() => rmSync(folder, {recursive: true}));

const WEAK = 0.125;
const leak = {side: 'right', level: 0.004, fall: 0.8, tint: [1, 0.9, 0.75]} as const;
/** What the leak does to the head: as B does, from the same side. */
const room = {...plainRoom, lights: [...plainRoom.lights, {...plainRoom.lights[1]!, id: 'leak', spill: null}]};

it('is told from a leak that lights the face alike by the wall', async () => {
  const plates = await platesIn(folder, plainRoom);
  const read = async (shot: Partial<QuickShot>) => {
    const file = path.join(folder, 'frame.jpg');
    writeFileSync(file, await shootFrame(room, {...still, ...shot}));
    return measureFrame(file, plates, plates.zones);
  };
  const weak = await read({power: [1, WEAK, 0]});
  expect(weak.lights.map(({fired}) => fired)).toEqual([true, true]);
  expect(Math.abs(weak.lights[1]!.ev! + 3)).toBeLessThan(0.25);
  const leaked = await read({power: [1, 0, WEAK], leak});
  expect(leaked.ambient.riseEv).toBeGreaterThan(1);
  expect(leaked.lights.map(({fired}) => fired)).toEqual([true, false]);
});
