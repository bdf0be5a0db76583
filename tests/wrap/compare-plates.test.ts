import fc from 'fast-check';
import {expect, test} from 'vitest';
import type {Exposure} from '../../shared/exposure.js';
import {levelEv, linearOfLevel} from '../../shared/level.js';
import {demoRig, type Rig} from '../../shared/rig.js';
import {comparePlates, type PlateLevels} from '../../src/wrap/compare-plates.js';
import {rigWithB} from './made-shoot.js';

const usual: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const plate = (
  name: PlateLevels['plate'],
  faceEv: number | null,
  wallEv: number | null = -9,
  exposure = usual,
  rig: Rig = demoRig,
): PlateLevels => ({plate: name, exposure, rig, faceEv, wallEv});

/** A plate of light B alone, for which B was set so. */
const plateOfB = (faceEv: number, change: Partial<Rig['lights'][number]> = {}): PlateLevels =>
  plate('light B', faceEv, -9, usual, rigWithB(change));

test('a light that is brighter is told with its amount', () => {
  const say = comparePlates([plate('light B', -1)], [plate('light B', -0.4)]).map(each => each.say);
  expect(say).toEqual(['B is 0.6 EV brighter than last time.']);
});

test.each([
  ['within a few tenths it is the same', -0.8, true, 'A is as last time.'],
  ['in between it is told', -1.6, false, 'A is 0.6 EV darker than last time.'],
  ['far off likewise', -2.3, false, 'A is 1.3 EV darker than last time.'],
])('%s', (_what, faceEv, isSame, say) => {
  expect(comparePlates([plate('light A', -1)], [plate('light A', faceEv)])[0]).toMatchObject({isSame, say});
});

const toldOfB = (before: PlateLevels, now: PlateLevels) => {
  const [{isSame, say} = expect.fail()] = comparePlates([before], [now]);
  return {isSame, say};
};

test('a light whose power was changed since its old plate is held against what that should do', () => {
  const old = plateOfB(-1, {power: 1 / 4});
  expect(toldOfB(old, plateOfB(-2.1, {power: 1 / 8}))).toEqual({
    isSame: false,
    say: 'B is 1.1 EV darker than last time, as it should be: B power 1/4 → 1/8.',
  });
  expect(toldOfB(old, plateOfB(-1.1, {power: 1 / 8}))).toEqual({
    isSame: false,
    say: 'B is as last time, and 0.9 EV brighter than it should be: B power 1/4 → 1/8.',
  });
});

// Twice as far is a quarter of the light: two stops.
test('a light that was moved likewise', () => {
  const say = 'B is 2.0 EV darker than last time, as it should be: B moved 1 → 2 m.';
  // The height is that of the eyes, so that the distance is all that changes.
  const at = (distanceMetres: number) => ({distanceMetres, heightMetres: demoRig.mark.eyeHeightMetres});
  expect(toldOfB(plateOfB(0, at(1)), plateOfB(-2, at(2))).say).toBe(say);
});

test('a light that went round falls on the face otherwise: its change is told, and no word on what it should be', () => {
  expect(toldOfB(plateOfB(-1), plateOfB(-1.7, {angleDegrees: 120}))).toEqual({
    isSame: false,
    say: 'B is 0.7 EV darker than last time, when it was set otherwise: B went round 112° → 120°.',
  });
});

test('all lights together are told only where each was set as last time', () => {
  const sitter = (change = {}): PlateLevels => plate('sitter', 0, -9, usual, rigWithB(change));
  expect(comparePlates([sitter()], [sitter()])).toHaveLength(1);
  expect(comparePlates([sitter()], [sitter({power: 1 / 8})])).toEqual([]);
});

test('two rooms that both leave black are the same, whatever noise says', () => {
  expect(comparePlates([plate('dark', null, -9)], [plate('dark', null, -7.5)])[0]).toMatchObject({
    isSame: true,
    say: 'The room is as last time.',
  });
});

test('the room is compared on the wall, all lights together on the face', () => {
  const before = [plate('dark', null, -8), plate('sitter', 0)];
  const now = [plate('dark', null, -6), plate('sitter', 0.1)];
  expect(comparePlates(before, now).map(each => each.say)).toEqual([
    'The room is 2.0 EV brighter than last time.',
    'The face under all lights is as last time.',
  ]);
});

// ISO 50 f/10 records a flash 1.64 EV darker than ISO 100 f/8, and half the time a room one stop darker.
test('what only the camera was set to differently is taken out', () => {
  const stopped = {shutterSeconds: 4, fNumber: 10, iso: 50};
  const flashEv = -2 * Math.log2(10 / 8) - 1;
  const before = [plate('dark', null, -3), plate('light A', -1)];
  const now = [plate('dark', null, -3 + flashEv - 1, stopped), plate('light A', -1 + flashEv, -9, stopped)];
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
    isSame: false,
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
