import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickShot, type QuickTrail, shootFrame, still} from './quick-room.js';
import {trailTruth} from './quick-trail.js';

/*
 * What lies on the head alone may be a misfit of its light. A trail is told from that even where it covers nearly all of
 * the face, or is drawn by a few pieces only.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-lines-'));
afterAll(() => rmSync(folder, {recursive: true}));
const plates = await platesIn(folder, plainRoom);

const {cx, cy, rx, ry} = plainRoom.face;
/** Points about the face's middle, in its radii. */
const line = (points: readonly (readonly [number, number])[], sigma: number, ev: number): QuickTrail => ({
  points: points.map(([x, y]) => [cx + x * rx, cy + y * ry] as const),
  sigma,
  ev,
  tint: [1, 0.85, 0.95],
  dash: null,
  behind: false,
});

/** To and fro over the whole face, so broad that little of it is left. */
const overAll = line(
  Array.from({length: 9}, (_, n) => [n % 2 === 0 ? -1.9 : 1.9, -0.95 + n * 0.24] as const),
  0.009,
  2.5,
);
/** Two short pieces at the jaws. */
const pieces = [-1, 1].map(side =>
  line(
    [
      [0.62 * side, 0.1],
      [0.5 * side, 0.32],
    ],
    0.005,
    2.7,
  ),
);
/** Short dashes down the wall, far from one another. */
const dashes = [-1.2, -0.4, 0.4, 1.2].map(y =>
  line(
    [
      [3.2, y],
      [3.2, y + 0.03],
    ],
    0.0028,
    2,
  ),
);

it.each([
  ['over all of it', [overAll], 0.9, 0.2],
  ['two pieces', pieces, 0.015, 0.6],
] as const)('a trail on the head is seen: %s', async (_, trails, least, part) => {
  const shot: QuickShot = {...still, trails: [...trails]};
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(plainRoom, shot));
  const {trail} = await measureFrame(file, plates, plates.zones);
  const truth = trailTruth(plainRoom, shot, false);
  expect(truth.crossing).toBeGreaterThanOrEqual(least);
  expect(trail?.crossing ?? 0).toBeGreaterThan(part * truth.crossing);
  expect(trail!.crossing).toBeLessThan(1.3 * truth.crossing);
});

it('and a few short dashes on the wall, far from one another, are one; a single spot is none', async () => {
  const file = path.join(folder, 'frame.jpg');
  for (const trails of [dashes, dashes.slice(0, 1)]) {
    const shot: QuickShot = {...still, trails};
    writeFileSync(file, await shootFrame(plainRoom, shot));
    const {trail} = await measureFrame(file, plates, plates.zones);
    if (trails.length === 1) expect(trail).toBeNull();
    else expect(Math.abs(trail!.coverage - trailTruth(plainRoom, shot, false).coverage)).toBeLessThanOrEqual(0.04);
  }
});
