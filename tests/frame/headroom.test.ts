import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, it} from 'vitest';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {measureFrame} from '../../src/frame/measure.js';
import {plainRoom, platesIn, type QuickRoom, shootFrame, still} from './quick-room.js';
import {trailTruth} from './quick-trail.js';

/*
 * A curve that leaves headroom: white is four times full scale of a plain one, and middle grey is coded as ever. What shows
 * as brightly as ever is a quarter of the light, as a part of white.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-headroom-'));
afterAll(() => rmSync(folder, {recursive: true}));

const HEADROOM = 4;
const GAIN = 1.2;
const withHeadroom = (linear: number): number => {
  const light = GAIN * HEADROOM * linear;
  return linearToSrgb((light * (1 + light / (GAIN * HEADROOM) ** 2)) / (1 + light));
};

const room: QuickRoom = {
  ...plainRoom,
  curve: withHeadroom,
  darkLevel: plainRoom.darkLevel / HEADROOM,
  lights: plainRoom.lights.map(light => ({
    ...light,
    level: light.level / HEADROOM,
    spill: light.spill && {...light.spill, level: light.spill.level / HEADROOM},
  })),
};

/** An arch from beside the head to over it, at −1.2 EV around the middle grey that shows. */
const arch = {
  points: [
    [0.22, 0.6],
    [0.24, 0.35],
    [0.32, 0.16],
    [0.5, 0.07],
  ] as const,
  sigma: 0.004,
  ev: -1.2 - Math.log2(HEADROOM),
  tint: [1, 1, 1] as const,
  dash: null,
  behind: false,
};

it('shows a line that is dim beside white, and none where nothing was drawn', async () => {
  const plates = await platesIn(folder, room);
  const read = async (shot: object) => {
    const file = path.join(folder, 'frame.jpg');
    writeFileSync(file, await shootFrame(room, {...still, ...shot}));
    return measureFrame(file, plates, plates.zones);
  };
  expect((await read({})).trail).toBeNull();
  const {trail} = await read({trails: [arch]});
  // As much above the least that a trail shows as it is here with the headroom.
  const truth = trailTruth(room, {...still, trails: [{...arch, ev: arch.ev + Math.log2(HEADROOM)}]}, false);
  expect(truth.coverage).toBeGreaterThan(0.2);
  expect(Math.abs(trail!.coverage - truth.coverage)).toBeLessThanOrEqual(0.04);
  expect(Math.abs(trail!.headGap! - truth.headGap!)).toBeLessThanOrEqual(0.06);
  expect(trail!.crossing).toBe(0);
});
