import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, beforeAll, describe, expect, test} from 'vitest';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {learnSitter, measureFrame} from '../../src/frame/measure.js';
import {measureFrames} from '../../src/frame/measure-frames.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';
import {loadPlates, type PlateSet} from '../../src/frame/plates.js';
import {plainRoom, type QuickRoom, shootFrame, shootPlates, still} from './quick-room.js';

/*
 * On the plate of the sitter all lights are together and nothing else: it says which way the camera bends tones before
 * any frame does. A frame with one light, set otherwise, in a room that leaks, doesn't say so itself.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-sitter-'));
afterAll(() => rmSync(folder, {recursive: true}));

/** Shoulder and contrast of a film. */
const room: QuickRoom = {
  ...plainRoom,
  readNoise: 0.0004,
  curve: linear => linearToSrgb(((1 - Math.exp(-1.1 * linear)) / (1 - Math.exp(-1.1))) ** 1.15),
};
const leak = {side: 'even', level: 0.004, fall: 1, tint: [1, 0.9, 0.8]} as const;
const rise = Math.log2(1 + leak.level / room.darkLevel);
const frame = path.join(folder, 'frame.jpg');

const platesOf = async (name: string, sitter: Buffer | null): Promise<PlateSet> => {
  const place = mkdtempSync(path.join(folder, `${name}-`));
  const {dark, lights} = await shootPlates(room);
  writeFileSync(path.join(place, 'dark.jpg'), dark);
  for (const {id, jpeg} of lights) writeFileSync(path.join(place, `light-${id}.jpg`), jpeg);
  writeFileSync(path.join(place, 'zones.json'), JSON.stringify({face: room.face}));
  if (sitter) writeFileSync(path.join(place, 'sitter.jpg'), sitter);
  folders.set(name, place);
  return loadPlates(place);
};
const folders = new Map<string, string>();

let without: PlateSet;
let withSitter: PlateSet;
beforeAll(async () => {
  writeFileSync(frame, await shootFrame(room, {...still, power: [2, 0], leak}));
  without = await platesOf('without', null);
  withSitter = await platesOf('with', (await shootPlates(room)).sitter);
});

const offOf = (plates: PlateSet) => async () => {
  const {ambient, lights} = await measureFrame(frame, plates, plates.zones);
  return {power: Math.abs(lights[0]!.ev! - 1), rise: Math.abs(ambient.riseEv! - rise)};
};

describe('the plate of the sitter', () => {
  test('tells how tones are bent, so that one frame alone is read truer', async () => {
    expect(learnSitter(new Map(), without, without.zones).size).toBe(0);
    expect(learnSitter(new Map(), withSitter, withSitter.zones).size).toBe(1);
    const before = await offOf(without)();
    const after = await offOf(withSitter)();
    expect(after.power).toBeLessThan(0.03);
    expect(after.power).toBeLessThan(0.5 * before.power);
    // How far a wall rises that was nearly black hangs on the curve there, of which this plate says little.
    expect(after.rise).toBeLessThan(0.15);
  });

  test('is asked wherever frames are measured', async () => {
    const {ambient, lights} = await measureFrame(frame, withSitter, withSitter.zones);
    const [one] = await measureFrames([frame], withSitter, withSitter.zones);
    expect(one).toMatchObject({measurement: {ambient, lights}});
    const measurer = openMeasurer();
    try {
      await measurer.usePlates(folders.get('with')!);
      expect(await measurer.measure(frame, withSitter.zones)).toMatchObject({ambient, lights});
    } finally {
      await measurer.close();
    }
  });

  test('says nothing where the room was not dark', async () => {
    const lit = await shootFrame(room, {...still, power: [1, 1], leak: {...leak, level: 0.15}});
    const plates = await platesOf('lit', lit);
    expect(learnSitter(new Map(), plates, plates.zones).size).toBe(0);
  });
});
