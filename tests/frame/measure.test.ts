import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, beforeAll, describe, expect, test} from 'vitest';
import type {Measurement} from '../../shared/reading.js';
import {measurementSchema} from '../../shared/reading.js';
import {measureFrame} from '../../src/frame/measure.js';
import {loadPlates, type PlateSet} from '../../src/frame/plates.js';
import {plainRoom, type QuickRoom, type QuickShot, shootFrame, shootPlates, still} from './quick-room.js';
import {trailTruth} from './quick-trail.js';

/* A quick room of layers with known truth: what a frame says must be what was put into it. */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-frame-'));
afterAll(() => rmSync(folder, {recursive: true}));

const bent: QuickRoom = {
  ...plainRoom,
  // A camera's contrast curve over sRGB: an S around the middle.
  curve: linear => {
    const code = plainRoom.curve(linear);
    return code + 0.12 * Math.sin(2 * Math.PI * code) * -0.5;
  },
};

/** Cameras that code a plain power of the light: what a frame alone doesn't show, its plates do. */
const power = (exponent: number): QuickRoom => ({...plainRoom, curve: linear => linear ** (1 / exponent)});

const rooms = {plain: plainRoom, bent, 'power of 2': power(2), 'power of 2.2': power(2.2)};
const plates = {} as Record<keyof typeof rooms, PlateSet>;

beforeAll(async () => {
  for (const [name, room] of Object.entries(rooms) as [keyof typeof rooms, QuickRoom][]) {
    const place = mkdtempSync(path.join(folder, `${name}-`));
    const {dark, lights, sitter} = await shootPlates(room);
    writeFileSync(path.join(place, 'dark.jpg'), dark);
    for (const {id, jpeg} of lights) writeFileSync(path.join(place, `light-${id}.jpg`), jpeg);
    writeFileSync(path.join(place, 'sitter.jpg'), sitter);
    writeFileSync(path.join(place, 'zones.json'), JSON.stringify({face: room.face}));
    plates[name] = await loadPlates(place);
  }
});

let taken = 0;
const measured = async (room: keyof typeof rooms, change: Partial<QuickShot>): Promise<Measurement> => {
  taken += 1;
  const file = path.join(folder, `frame-${taken}.jpg`);
  writeFileSync(file, await shootFrame(rooms[room], {...still, ...change}, 100 + taken));
  return measureFrame(file, plates[room], plates[room].zones);
};

/** A ring around the head, as points in fractions of the frame. */
const ring = (rx: number, ry: number, cy: number, fromDegrees = 0, toDegrees = 360): (readonly [number, number])[] =>
  Array.from({length: 80}, (_, step) => {
    const angle = ((fromDegrees + ((toDegrees - fromDegrees) * step) / 79) * Math.PI) / 180;
    return [0.5 + rx * Math.cos(angle), cy + ry * Math.sin(angle)] as const;
  });
const trail = (points: (readonly [number, number])[], ev = 2): QuickShot['trails'] => [
  {points, sigma: 0.004, ev, tint: [1, 0.75, 0.4], dash: null, behind: false},
];
const sway = (x: number, y: number): QuickShot['sway'] => ({x, y, turn: 0, scale: 1});

describe.each(['plain', 'bent'] as const)('through a %s curve', room => {
  test('a reading has the form that is kept', async () => {
    const reading = await measured(room, {});
    expect(measurementSchema.parse(reading)).toEqual(reading);
  });

  test.each([
    [
      [1, 1],
      [0, 0],
    ],
    [
      [1, 0],
      [0, null],
    ],
    [
      [0, 1],
      [null, 0],
    ],
    [
      [2, 1],
      [1, 0],
    ],
    [
      [0.5, 1.4],
      [-1, Math.log2(1.4)],
    ],
  ] as const)('lights at %j of their plates read %j EV', async (power, ev) => {
    const {lights} = await measured(room, {power: [...power], sway: sway(0.006, -0.004)});
    for (const [at, light] of lights.entries()) {
      const wanted = ev[at]!;
      expect(light.fired).toBe(wanted !== null);
      if (wanted !== null) expect(Math.abs(light.ev! - wanted)).toBeLessThan(0.25);
    }
  });

  test('no trail is claimed where there is none', async () => {
    expect((await measured(room, {sway: sway(-0.008, 0.005)})).trail).toBeNull();
    expect((await measured(room, {power: [0, 1]})).trail).toBeNull();
  });

  test('a ring round the head is clear of it, and a stroke over the cheek is not', async () => {
    const round = await measured(room, {trails: trail(ring(0.2, 0.34, 0.42))});
    const truth = trailTruth(rooms[room], {...still, trails: trail(ring(0.2, 0.34, 0.42))}, true);
    // A crossing is one from 1 % on; half of that is the measure's own doubt.
    expect(round.trail!.crossing).toBeLessThan(0.005);
    expect(Math.abs(round.trail!.coverage - truth.coverage)).toBeLessThanOrEqual(0.04);
    expect(Math.abs(round.trail!.headGap! - truth.headGap!)).toBeLessThanOrEqual(0.06);

    const strokes = trail([
      [0.3, 0.3],
      [0.45, 0.45],
      [0.6, 0.62],
    ]);
    const crossed = await measured(room, {trails: strokes});
    expect(trailTruth(rooms[room], {...still, trails: strokes}, true).crossing).toBeGreaterThan(0.01);
    expect(crossed.trail!.crossing).toBeGreaterThan(0.01);
    expect(crossed.trail!.crossingAt!.x).toBeCloseTo(0.47, 1);
  });

  test.each(['left', 'right'] as const)('a leak from the %s is found there', async side => {
    const {ambient} = await measured(room, {leak: {side, level: 0.01, fall: 0.25, tint: [1, 0.9, 0.8]}});
    expect(ambient.side).toBe(side);
    expect(ambient.riseEv!).toBeGreaterThan(0.5);
  });

  test('without new light the room is as on its plate', async () => {
    const {ambient} = await measured(room, {});
    expect(ambient.side).toBeNull();
    expect(Math.abs(ambient.riseEv!)).toBeLessThan(0.3);
  });
});

test('a head that popped again far beside itself is no trail over the face', async () => {
  const {face, trail: found} = await measured('plain', {second: {x: 0.11, y: 0.01}});
  expect(face.doubled).toBe(true);
  expect(found?.crossing ?? 0).toBeLessThan(0.005);
});

test('without plates it measures what it can and says what is missing', async () => {
  const file = path.join(folder, 'alone.jpg');
  writeFileSync(file, await shootFrame(plainRoom, still));
  const reading = await measureFrame(file, null, null);
  expect(reading.lights).toEqual([]);
  expect(reading.ambient.riseEv).toBeNull();
  expect(reading.missing.length).toBeGreaterThan(0);
  for (const sentence of reading.missing) expect(sentence).toMatch(/^[A-Z].+\.$/);
});

test.each(['power of 2', 'power of 2.2'] as const)(
  'a leak through a %s rises as far as it does, in one frame alone',
  async room => {
    const leak = {side: 'left', level: 0.01, fall: 0.25, tint: [1, 0.9, 0.8]} as const;
    const {ambient} = await measured(room, {leak});
    // Light that falls to 1/e every quarter of the frame is on average this part of what it is at the edge.
    const mean = leak.fall * (1 - Math.exp(-1 / leak.fall));
    const rise = Math.log2(1 + (leak.level * mean) / plainRoom.darkLevel);
    expect(ambient.side).toBe('left');
    expect(Math.abs(ambient.riseEv! - rise)).toBeLessThan(0.3);
  },
);
