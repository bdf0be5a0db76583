import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, describe, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickLeak, type QuickRoom, type QuickShot, shootFrame, still} from './quick-room.js';

/*
 * White bars on a black wall: a leak makes them as bright as a trail. The dark plate shows them already.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-things-'));
afterAll(() => rmSync(folder, {recursive: true}));

const BARS = [0.16, 0.84, 0.93];
const barred: QuickRoom = {
  ...plainRoom,
  darkLevel: 0.0006,
  reflects: x => (BARS.some(bar => Math.abs(x - bar) < 0.005) ? {own: 25, leak: 25} : {own: 1, leak: 1}),
};
const leak: QuickLeak = {side: 'right', level: 0.006, fall: 0.6, tint: [1, 0.9, 0.8]};

describe('white bars on a black wall', () => {
  it('are no trail in a leak, and hide none', async () => {
    const plates = await platesIn(folder, barred);
    const read = async (shot: Partial<QuickShot>) => {
      const file = path.join(folder, 'frame.jpg');
      writeFileSync(file, await shootFrame(barred, {...still, ...shot}));
      return measureFrame(file, plates, plates.zones);
    };
    const leaking = await read({leak});
    expect(leaking.ambient.side).toBe('right');
    expect(leaking.trail).toBeNull();
    const points = Array.from({length: 61}, (_, n) => {
      const angle = (n / 60) * 2 * Math.PI;
      return [0.5 + 0.36 * Math.cos(angle), 0.5 + 0.42 * Math.sin(angle)] as const;
    });
    const trails = [{points, sigma: 0.004, ev: 2, tint: [1, 0.9, 0.7] as const, dash: null, behind: false}];
    const drawn = await read({leak, trails});
    expect(drawn.trail?.coverage).toBeGreaterThan(0.96);
  });
});
