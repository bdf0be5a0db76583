import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {boxMean} from '../../src/frame/box-mean.js';
import type {CodedImage} from '../../src/frame/decode/coded.js';
import {toWork, workFactor} from '../../src/frame/work-image.js';

const coded = fc
  .record({width: fc.integer({min: 3, max: 24}), height: fc.integer({min: 3, max: 20}), depth: fc.constantFrom(8, 16)})
  .chain(({width, height, depth}) => {
    const length = {minLength: width * height * 3, maxLength: width * height * 3};
    return fc
      .array(fc.integer({min: 0, max: depth === 8 ? 255 : 65_535}), length)
      .map(
        (values): CodedImage =>
          depth === 8
            ? {width, height, depth: 8, rgb: Uint8Array.from(values)}
            : {width, height, depth: 16, rgb: Uint16Array.from(values)},
      );
  });

/** What lies under a square of the source, each pixel by the part that is covered: slow, and as it is defined. */
const under = ({width, height, depth, rgb}: CodedImage, left: number, top: number, size: number, c: number): number => {
  let sum = 0;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const across = Math.min(left + size, x + 1) - Math.max(left, x);
      const down = Math.min(top + size, y + 1) - Math.max(top, y);
      if (across > 0 && down > 0) sum += across * down * rgb[(y * width + x) * 3 + c]!;
    }
  }
  return (sum / size ** 2) * (depth === 16 ? 255 / 65_535 : 1);
};

describe('a picture at the size that is measured', () => {
  it('holds in each pixel the mean of what it covers', () => {
    fc.assert(
      fc.property(coded, fc.constantFrom(1, 1.25, 1.5, 2, 2.7, 3), (image, factor) => {
        const {width, height, r, g, b} = toWork(image, factor);
        expect([width, height]).toEqual([image.width, image.height].map(size => Math.floor(size / factor + 1e-6)));
        [r, g, b].forEach((plane, c) => {
          for (let at = 0; at < plane.length; at++) {
            const x = at % width;
            const wanted = under(image, x * factor, ((at - x) / width) * factor, factor, c);
            expect(Math.abs(plane[at]! - wanted)).toBeLessThan(0.01);
          }
        });
      }),
      {numRuns: 300},
    );
  });

  it('is about 1000 pixels long, unless the head would be too small by then', () => {
    const image = (width: number, height: number): CodedImage => ({width, height, depth: 8, rgb: new Uint8Array(0)});
    const face = (ry: number) => ({cx: 0.5, cy: 0.5, rx: 0.1, ry});
    expect(workFactor(image(1500, 1000), face(0.2))).toBe(1.5);
    expect(workFactor(image(1500, 1000), face(0.1))).toBeCloseTo(200 / 180, 9);
    expect(workFactor(image(1500, 1000), face(0.05))).toBe(1);
    expect(workFactor(image(600, 400), face(0.2))).toBe(1);
  });
});

it('a mean over squares is that, up to the edge, whose pixels are repeated', () => {
  const planes = fc
    .record({
      width: fc.integer({min: 1, max: 9}),
      height: fc.integer({min: 1, max: 9}),
      radius: fc.integer({min: 1, max: 5}),
    })
    .chain(size =>
      fc
        .array(fc.float({min: 0, max: 1, noNaN: true}), {
          minLength: size.width * size.height,
          maxLength: size.width * size.height,
        })
        .map(values => ({...size, plane: Float32Array.from(values)})),
    );
  const within = (value: number, size: number): number => Math.max(0, Math.min(size - 1, value));
  fc.assert(
    fc.property(planes, ({plane, width, height, radius}) => {
      boxMean(plane, width, height, radius).forEach((mean, at) => {
        const x = at % width;
        const y = (at - x) / width;
        let sum = 0;
        for (let dy = -radius; dy <= radius; dy++) {
          for (let dx = -radius; dx <= radius; dx++)
            sum += plane[within(y + dy, height) * width + within(x + dx, width)]!;
        }
        expect(Math.abs(mean - sum / (2 * radius + 1) ** 2)).toBeLessThan(1e-5);
      });
    }),
  );
});
