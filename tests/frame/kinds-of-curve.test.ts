import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import fc from 'fast-check';
import {afterAll, describe, expect, it} from 'vitest';
import {CURVE_KINDS, MIDDLE_GREY} from '../../src/frame/curve/basis.js';
import {anyCurve, ofKind} from '../../src/frame/curve/belief.js';
import {beliefFor, type LearnedCurve, learnFrom} from '../../src/frame/curve/learned-curve.js';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {curveTable} from '../../src/frame/curve/tone-curve.js';
import {fitLights} from '../../src/frame/fit/fit-lights.js';
import {measureFrames} from '../../src/frame/measure-frames.js';
import {plainRoom, platesIn, type QuickLeak, type QuickRoom, shootFrame, still} from './quick-room.js';
import {seenThrough} from './quick-samples.js';

/*
 * A curve may bend tones and then code light as a plain power, with nothing that keeps codes near black in proportion to
 * it: a dark wall at code 5 then holds a tenth of the light that it holds by sRGB. Or it keeps light many times as bright as
 * white. Only the sums of lights tell.
 */

type Curve = (linear: number) => number;

const shoulder =
  (bend: number): Curve =>
  linear =>
    (1 - Math.exp(-bend * linear)) / (1 - Math.exp(-bend));

const coded =
  (tones: Curve, exponent: number): Curve =>
  linear =>
    tones(linear) ** (1 / exponent);

const inSrgb =
  (tones: Curve): Curve =>
  linear =>
    linearToSrgb(tones(linear));

const underS =
  (curve: Curve): Curve =>
  linear => {
    const v = curve(linear);
    return v + 0.5 * (v * v * (3 - 2 * v) - v);
  };

/** Light to ten times white, if not more. */
const logarithm =
  (range: number): Curve =>
  linear =>
    Math.log1p(range * linear) / Math.log1p(range);

const film: Curve = linear => {
  const light = (6 * linear) / (1 + 5 * linear);
  return linearToSrgb(((light * light) / (light + 0.008)) * 1.008);
};

/** An S with deep shadows and a long shoulder, over the code values. */
const longShoulder: Curve = linear => {
  const [from, to] = [
    [0, 0.16, 0.41, 0.73, 1],
    [0, 0.12, 0.47, 0.83, 1],
  ] as const;
  const v = linearToSrgb(linear);
  const n = Math.max(0, from.findIndex(knot => knot > v) - 1);
  if (v >= 1) return 1;
  const rise = (at: number): number => (to[at + 1]! - to[at]!) / (from[at + 1]! - from[at]!);
  // Harmonic means of the neighbours' slopes leave it rising.
  const slope = (at: number): number =>
    at === 0 ? rise(0) : at === 4 ? rise(3) : 2 / (1 / rise(at - 1) + 1 / rise(at));
  const width = from[n + 1]! - from[n]!;
  const t = (v - from[n]!) / width;
  const [a, b] = [to[n]!, to[n + 1]!];
  return (
    (1 + 2 * t) * (1 - t) ** 2 * a +
    t * (1 - t) ** 2 * width * slope(n) +
    t ** 2 * (3 - 2 * t) * b +
    t ** 2 * (t - 1) * width * slope(n + 1)
  );
};

const SEEDS = [11, 12, 13, 14, 15, 16];

const beliefAfter = (curve: Curve) => {
  const learned: LearnedCurve = new Map();
  for (const seed of SEEDS) {
    const {kind, kinds, againstPowers} = fitLights(seenThrough(curve, seed, 0.0004, 5), anyCurve, [], 10);
    learnFrom(learned, `${seed}.jpg`, {kind, kinds, againstPowers: againstPowers!});
  }
  return beliefFor(learned, 'other.jpg');
};

describe('which kind a curve is of', () => {
  it.each([
    ['a shoulder, coded as a power of 2.2', coded(shoulder(3), 2.2), 'intoPower'],
    ['a strong shoulder, coded as a power of 2.1', coded(shoulder(6), 2.1), 'intoPower'],
    ['a shoulder in sRGB', inSrgb(shoulder(3)), 'contrast'],
    ['a strong shoulder in sRGB', inSrgb(shoulder(6)), 'contrast'],
    ['an S in sRGB', underS(linearToSrgb), 'contrast'],
    ['sRGB', linearToSrgb, 'contrast'],
    ['an S with a long shoulder', longShoulder, 'contrast'],
    ['a logarithm', logarithm(200), 'wide'],
    ['a logarithm over a wider range', logarithm(1300), 'wide'],
    ['film, toe and shoulder', film, 'wide'],
  ] as const)('is told by a few frames: %s', (_, curve, kind) => {
    const belief = beliefAfter(curve);
    expect(belief.kind).toBe(kind);
    const table = curveTable(belief.z, belief.kind);
    // In stops against middle grey's code: what is nearly black.
    const stopsAt = (code: number): number => Math.log2(table[code]! / table[117]!);
    const lightOf = (code: number): number => {
      let [low, high] = [0, 1];
      for (let n = 0; n < 60; n++) {
        const middle = (low + high) / 2;
        if (255 * curve(middle) < code) low = middle;
        else high = middle;
      }
      return low;
    };
    for (const code of [12, 20, 40, 80]) {
      expect(Math.abs(stopsAt(code) - Math.log2(lightOf(code) / lightOf(117)))).toBeLessThan(0.5);
    }
  });

  it('is told by one frame where there is no other, and by the others where there are', () => {
    const samples = seenThrough(coded(shoulder(3), 2.2), 11, 0.0004, 5);
    expect(fitLights(samples, anyCurve, [], 10).kind).toBe('intoPower');
    const others = {...anyCurve, frames: 3};
    expect(fitLights(samples, others, [], 10).kind).toBe('contrast');
    expect(fitLights(samples, {...ofKind(others, 'intoPower'), frames: 3}, [], 10).kind).toBe('intoPower');
  });

  it('makes middle grey as bright, since how much light a code value is has no meaning by itself', () => {
    const [contrast, ...others] = CURVE_KINDS.map(kind => curveTable(anyCurve.z, kind)[MIDDLE_GREY]!);
    for (const light of others) expect(Math.abs(Math.log2(light / contrast!))).toBeLessThan(0.1);
  });

  it('leaves every curve rising, and differs near black alone where nothing had to be held up', () => {
    const z = (most: number) => fc.array(fc.double({min: -most, max: most, noNaN: true}), {minLength: 4, maxLength: 4});
    fc.assert(
      fc.property(z(3), fc.constantFrom(...CURVE_KINDS), (own, kind) => {
        const table = curveTable(own, kind);
        for (let code = 1; code < 256; code++) expect(table[code]).toBeGreaterThanOrEqual(table[code - 1]!);
      }),
    );
    fc.assert(
      fc.property(z(0.4), own => {
        const [plain, power] = [curveTable(own), curveTable(own, 'intoPower')];
        expect(power[6]! / plain[6]!).toBeLessThan(0.25);
        for (const code of [100, 150, 200]) {
          expect(Math.abs(Math.log2(power[code]! / plain[code]!))).toBeLessThan(0.1);
        }
      }),
    );
  });
});

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-ends-'));
afterAll(() => rmSync(folder, {recursive: true}));

describe('a leak in a nearly black room', () => {
  it('raises the wall by as much as it does, through a curve that ends in a power', async () => {
    const [curve, darkLevel] = [coded(shoulder(2.5), 2.2), 0.00012];
    const room: QuickRoom = {...plainRoom, curve, darkLevel, readNoise: 0.0001, vignette: 0, width: 600, height: 400};
    const lights = room.lights.map(light => ({...light, spill: {...light.spill!, radius: 0.4, level: 0.02}}));
    const dim: QuickRoom = {...room, lights};
    const plates = await platesIn(folder, dim);
    const leak: QuickLeak = {side: 'left', level: 0.006, fall: 0.3, tint: [1, 1, 1]};
    const shots = [...[0.9, 1.15].map(power => ({...still, power: [power, 1]})), {...still, leak}];
    const files = [];
    for (const [n, shot] of shots.entries()) {
      files.push(path.join(folder, `${n}.jpg`));
      writeFileSync(files[n]!, await shootFrame(dim, shot, 100 + n));
    }
    const measured = await measureFrames(files, plates, plates.zones);
    const last = measured.at(-1)!;
    if (!('measurement' in last)) throw new Error('not measured');
    let added = 0;
    for (let u = 0.005; u < 1; u += 0.01) added += (leak.level * Math.exp(-u / leak.fall)) / 100;
    expect(last.measurement.ambient.side).toBe('left');
    expect(Math.abs(last.measurement.ambient.riseEv! - Math.log2(1 + added / darkLevel))).toBeLessThan(0.5);
  });
});
