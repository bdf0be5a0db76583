import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {boxMean, meanOfFew} from '../../src/frame/box-mean.js';
import {connectedComponents} from '../../src/frame/trail/components.js';
import {dilated, squaresAround} from '../../src/frame/trail/dilate.js';

/* What looks at a few pixels alone must find what looking at all of them finds. */

const few = fc
  .record({width: fc.integer({min: 1, max: 14}), height: fc.integer({min: 1, max: 12})})
  .chain(({width, height}) =>
    fc.record({
      width: fc.constant(width),
      height: fc.constant(height),
      pixels: fc.uniqueArray(fc.nat(width * height - 1), {maxLength: 30}).map(places => Int32Array.from(places).sort()),
    }),
  );

const maskOf = (pixels: Int32Array, size: number): Uint8Array => {
  const mask = new Uint8Array(size);
  for (const at of pixels) mask[at] = 1;
  return mask;
};

describe('a few pixels', () => {
  it('have the means around them that the whole plane has', () => {
    fc.assert(
      fc.property(few, fc.nat(1000), ({width, height, pixels}, seed) => {
        const plane = new Float32Array(width * height);
        for (const at of pixels) plane[at] = 1 + ((at * 7919 + seed) % 100) / 10;
        const all = boxMean(plane, width, height, 1);
        meanOfFew(plane, pixels, width, height).forEach((value, at) => {
          expect(value).toBeCloseTo(all[at]!, 4);
        });
      }),
      {numRuns: 300},
    );
  });

  it('are surrounded by the squares that dilation makes', () => {
    fc.assert(
      fc.property(few, ({width, height, pixels}) => {
        const wanted = dilated(maskOf(pixels, width * height), width, height, 1);
        expect([...squaresAround(pixels, width, height)]).toEqual([...wanted]);
      }),
      {numRuns: 300},
    );
  });

  it('belong to the components that flooding from everywhere finds', () => {
    fc.assert(
      fc.property(few, fc.constantFrom(4 as const, 8 as const), ({width, height, pixels}, neighbours) => {
        const mask = maskOf(pixels, width * height);
        const all = connectedComponents(mask, width, neighbours);
        const seeded = connectedComponents(mask, width, neighbours, pixels);
        expect(seeded.areas).toEqual(all.areas);
        expect([...seeded.labels]).toEqual([...all.labels]);
      }),
      {numRuns: 300},
    );
  });
});
