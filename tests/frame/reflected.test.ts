import fc from 'fast-check';
import {expect, it} from 'vitest';
import {firstCurve, lightAt} from '../../src/frame/curve/tone-curve.js';
import {reflecting, tintOnSitter} from '../../src/frame/fit/reflected.js';
import type {Samples} from '../../src/frame/fit/samples.js';

/*
 * The dark plate shows which colours a sitter has, and how much brighter a sitter is than the wall in the room's own light.
 */

const placement = {ax: 1, bx: 0, cx: 0, ay: 0, by: 1, cy: 0};
const flat = {plane: new Float32Array(16).fill(1), width: 4, height: 4};

/** One sample a colour, as the dark plate codes it. */
const samplesOf = (codes: readonly (readonly [number, number, number])[]): Samples => {
  const count = codes.length;
  const zeros = (): Float64Array => new Float64Array(3 * count);
  return {
    count,
    xs: new Float64Array(count).fill(1),
    ys: new Float64Array(count).fill(1),
    frame: zeros(),
    dark: Float64Array.from([0, 1, 2].flatMap(c => codes.map(code => code[c]!))),
    lights: [],
    roughness: zeros(),
    doubt: zeros().fill(1),
    reflected: zeros().fill(1),
    group: new Uint8Array(count),
  };
};
const light = (code: number): number => lightAt(firstCurve, code);

it('keeps the colours that the dark plate shows, and half of its light and shade', () => {
  const {reflected} = reflecting(
    samplesOf([
      [90, 60, 45],
      [60, 60, 60],
    ]),
    flat,
    placement,
  );
  // Red over green of one sample against the other's: as the plate shows it, but for what it doesn't tell of black.
  const own = (reflected[0]! / reflected[2]!) * (reflected[3]! / reflected[1]!);
  const shown = (light(90) / light(60)) * (light(60) / light(60));
  expect(Math.abs(Math.log2(own / shown))).toBeLessThan(0.1);
  const twice = reflecting(
    samplesOf([
      [90, 90, 90],
      [60, 60, 60],
    ]),
    flat,
    placement,
  ).reflected;
  expect(Math.log2(twice[0]! / twice[1]!) / Math.log2(light(90) / light(60))).toBeCloseTo(0.5, 1);
});

it('is the detail of all plates where the dark plate is black', () => {
  const detail = {...flat, plane: new Float32Array(16).fill(1.7)};
  const {reflected} = reflecting(samplesOf([[0, 0, 0]]), detail, placement);
  for (const part of reflected) expect(Math.abs(part - 1.7)).toBeLessThan(0.05);
});

it('is positive, whatever the dark plate shows', () => {
  const code = fc.double({min: 0, max: 255, noNaN: true});
  fc.assert(
    fc.property(fc.array(fc.tuple(code, code, code), {minLength: 1, maxLength: 6}), codes => {
      for (const part of reflecting(samplesOf(codes), flat, placement).reflected) expect(part).toBeGreaterThan(0);
    }),
  );
});

it('takes new light to be as much brighter on the sitter as the room’s own, and as coloured', () => {
  const sitter = samplesOf([[100, 80, 60]]);
  const wall = samplesOf([[60, 60, 60]]);
  const tint = tintOnSitter([0.02, 0.02, 0.01], sitter, wall);
  expect(tint[0] / tint[1]).toBeCloseTo(light(100) / light(80), 1);
  expect(tint[2] / 0.01).toBeCloseTo(1, 1);
  const [r, g, b] = tintOnSitter([0.02, 0.03, 0.01], samplesOf([[0, 0, 0]]), samplesOf([[0, 0, 0]]));
  expect([r, g, b]).toEqual([0.02, 0.03, 0.01]);
});
