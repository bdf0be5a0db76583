import fc from 'fast-check';
import {expect, test} from 'vitest';
import type {Exposure} from '../../shared/exposure.js';
import {levelEv, linearOfLevel} from '../../shared/level.js';
import {comparePlates, type PlateLevels} from '../../src/wrap/compare-plates.js';

const usual: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const plate = (name: PlateLevels['plate'], faceEv: number | null, wallEv: number | null = -9, exposure = usual) => ({
  plate: name,
  exposure,
  faceEv,
  wallEv,
});

test('a light that is brighter is told with its amount', () => {
  const say = comparePlates([plate('light B', -1)], [plate('light B', -0.4)]).map(each => each.say);
  expect(say).toEqual(['B is 0.6 EV brighter than last time.']);
});

test.each([
  ['within a few tenths it is the same', -0.8, 'ok', 'A is as last time.'],
  ['darker by a stop and more is a fail', -2.3, 'fail', 'A is 1.3 EV darker than last time.'],
  ['in between is to be watched', -1.6, 'watch', 'A is 0.6 EV darker than last time.'],
])('%s', (_what, faceEv, state, say) => {
  expect(comparePlates([plate('light A', -1)], [plate('light A', faceEv)])[0]).toMatchObject({state, say});
});

test('the room is compared on the wall, all lights together on the face', () => {
  const before = [plate('dark', null, -10), plate('sitter', 0)];
  const now = [plate('dark', null, -8), plate('sitter', 0.1)];
  expect(comparePlates(before, now).map(each => each.say)).toEqual([
    'The room is 2.0 EV brighter than last time on the wall.',
    'The face under all lights is as last time.',
  ]);
});

// ISO 50 f/10 records a flash 1.64 EV darker than ISO 100 f/8, and half the time a room one stop darker.
test('what only the camera was set to differently is taken out', () => {
  const stopped = {shutterSeconds: 4, fNumber: 10, iso: 50};
  const flashEv = -2 * Math.log2(10 / 8) - 1;
  const before = [plate('dark', null, -8), plate('light A', -1)];
  const now = [plate('dark', null, -8 + flashEv - 1, stopped), plate('light A', -1 + flashEv, -9, stopped)];
  for (const comparison of comparePlates(before, now)) expect(comparison.changeEv).toBeCloseTo(0, 9);
});

test("the room's part of the face is taken out before a light is compared", () => {
  const sum = (lightEv: number, roomEv: number): number => levelEv(linearOfLevel(lightEv) + linearOfLevel(roomEv));
  const before = [plate('dark', -3), plate('light A', sum(-1, -3))];
  const now = [plate('dark', -6), plate('light A', sum(-1, -6))];
  expect(comparePlates(before, now)[1]!.changeEv).toBeCloseTo(0, 9);
});

test('where there is nothing to compare it says so', () => {
  expect(comparePlates([], [plate('light C', 0)])[0]!.say).toBe('C has no plate from last time.');
  expect(comparePlates([plate('light A', null)], [plate('light A', 0)])[0]!.say).toBe(
    "A can't be compared: too dark to measure.",
  );
  expect(comparePlates([plate('dark', -5), plate('light A', -5)], [plate('light A', 0)])[0]).toMatchObject({
    changeEv: null,
    state: 'watch',
  });
});

test('comparing the other way round gives the opposite change', () => {
  const level = fc.double({min: -8, max: 3, noNaN: true});
  fc.assert(
    fc.property(level, level, (one, other) => {
      const there = comparePlates([plate('light A', one)], [plate('light A', other)])[0]!.changeEv!;
      const back = comparePlates([plate('light A', other)], [plate('light A', one)])[0]!.changeEv!;
      expect(there).toBeCloseTo(-back, 9);
      expect(there).toBeCloseTo(other - one, 9);
    }),
  );
});
