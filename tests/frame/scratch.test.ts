import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {bytes, floats, integers, withoutScratch, withScratch} from '../../src/frame/scratch.js';

const kinds = {floats, integers, bytes};
const wanted = fc.array(
  fc.record({kind: fc.constantFrom('floats', 'integers', 'bytes'), length: fc.integer({min: 0, max: 60_000})}),
  {maxLength: 8},
);

describe('what a measurement works in', () => {
  it('is 0 at first and its own, however often it was used before', () => {
    fc.assert(
      fc.property(fc.array(wanted, {minLength: 1, maxLength: 4}), rounds => {
        for (const round of rounds) {
          withScratch(() => {
            const planes = round.map(({kind, length}) => kinds[kind as keyof typeof kinds](length));
            planes.forEach((plane, n) => {
              expect(plane).toHaveLength(round[n]!.length);
              expect(plane.every(value => value === 0)).toBe(true);
              plane.fill(n + 1);
            });
            planes.forEach((plane, n) => {
              expect(plane.every(value => value === n + 1)).toBe(true);
            });
          });
        }
      }),
      {numRuns: 40},
    );
  });

  it('is used again, and what must last is not taken from it', () => {
    const large = 100_000;
    const first = withScratch(() => ({used: floats(large), kept: withoutScratch(() => floats(large).fill(7))}));
    const second = withScratch(() => floats(large).fill(3));
    expect(second.buffer).toBe(first.used.buffer);
    expect(first.kept.every(value => value === 7)).toBe(true);
  });

  it('is given back when the work fails', () => {
    expect(() =>
      withScratch(() => {
        throw new Error('no');
      }),
    ).toThrow('no');
    const [one, other] = [floats(100_000), floats(100_000)];
    expect(one.buffer).not.toBe(other.buffer);
  });
});
