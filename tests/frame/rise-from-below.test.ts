import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, describe, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickLeak, type QuickRoom, shootFrame, still} from './quick-room.js';

/*
 * How far a wall has risen is told of all of it. Beside the sitter none is looked at, since that is where the sitter moves;
 * but what leaks in under a door lies mostly there.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-below-'));
afterAll(() => rmSync(folder, {recursive: true}));

/** A sitter who fills much of the frame, so that little wall is clear of the shoulders. */
const room: QuickRoom = {...plainRoom, face: {cx: 0.5, cy: 0.4, rx: 0.13, ry: 0.255}, darkLevel: 0.002};

/** Rise of the wall's mean, EV, outside the head's surroundings and a body as wide as two heads. */
const riseOf = ({level, fall, side}: QuickLeak): number => {
  const {cx, cy, rx, ry} = room.face;
  let added = 0;
  let count = 0;
  for (let v = 0.005; v < 1; v += 0.01) {
    for (let u = 0.005; u < 1; u += 0.01) {
      const isBody = v > cy + ry && Math.abs(u - cx) * room.width < 2 * ry * room.height;
      if (isBody || ((u - cx) / rx) ** 2 + ((v - cy) / ry) ** 2 < 1.6 ** 2) continue;
      const far = {left: u, right: 1 - u, top: v, bottom: 1 - v, even: 0}[side];
      added += level * Math.exp(-far / fall);
      count++;
    }
  }
  return Math.log2(1 + added / count / room.darkLevel);
};

describe('a leak', () => {
  it.each([
    // How wide the shoulders are isn't known: they are taken to be somewhat wider than these.
    ['bottom', 0.45],
    ['top', 0.2],
    ['left', 0.2],
  ] as const)('from the %s raises the wall by as much as it does on all of it, within %f EV', async (side, within) => {
    const plates = await platesIn(folder, room);
    const leak: QuickLeak = {side, level: 0.03, fall: 0.25, tint: [1, 1, 1]};
    const file = path.join(folder, 'frame.jpg');
    writeFileSync(file, await shootFrame(room, {...still, leak}));
    const {ambient} = await measureFrame(file, plates, plates.zones);
    expect(ambient.side).toBe(side);
    expect(Math.abs(ambient.riseEv! - riseOf(leak))).toBeLessThan(within);
  });
});
