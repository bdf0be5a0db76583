import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, it} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickShot, type QuickTrail, shootFrame, still} from './quick-room.js';
import {trailTruth} from './quick-trail.js';

/*
 * A tube or a stick that is swept sideways draws no line but a band, clipped in its middle and as broad as half a head. It is
 * a trail like any other.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-band-'));
afterAll(() => rmSync(folder, {recursive: true}));

const room = {...plainRoom, face: {cx: 0.5, cy: 0.5, rx: 0.09, ry: 0.18}};

const band = (off: number, sigma: number): QuickTrail => ({
  points: Array.from({length: 73}, (_, n) => {
    const turn = (2 * Math.PI * n) / 72;
    return [room.face.cx + off + 0.23 * Math.cos(turn), room.face.cy + 0.34 * Math.sin(turn)] as const;
  }),
  sigma,
  ev: 3.2,
  tint: [1, 0.97, 0.9],
  dash: null,
  behind: false,
});

it.each([
  ['around the head', 0, 0.016, 0],
  ['around the head, broader', 0, 0.022, 0],
  ['over the head', -0.16, 0.016, 0.2],
] as const)('a band of light is a trail: %s', async (_, off, sigma, crossing) => {
  const plates = await platesIn(folder, room);
  const shot: QuickShot = {...still, trails: [band(off, sigma)]};
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(room, shot));
  const {trail} = await measureFrame(file, plates, plates.zones);
  const truth = trailTruth(room, shot, false);
  expect(truth.crossing).toBeGreaterThanOrEqual(crossing);
  expect(Math.abs(trail!.coverage - truth.coverage)).toBeLessThanOrEqual(0.04);
  if (truth.crossing === 0) expect(trail!.crossing).toBe(0);
  // On a face that the flashes make bright already, less of a clipped band is the band's own light.
  else expect(trail!.crossing).toBeGreaterThan(0.05);
});
