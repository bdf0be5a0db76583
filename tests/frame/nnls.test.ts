import fc from 'fast-check';
import {expect, test} from 'vitest';
import {nonNegativeLeastSquares} from '../../src/frame/fit/nnls.js';

/** Columns of a small problem, some of them nearly alike, and of very different sizes. */
const problems = fc
  .record({
    columns: fc.array(fc.array(fc.double({min: 0, max: 10, noNaN: true}), {minLength: 12, maxLength: 12}), {
      minLength: 1,
      maxLength: 6,
    }),
    twins: fc.array(fc.record({of: fc.nat(5), size: fc.double({min: -4, max: 4, noNaN: true})}), {maxLength: 4}),
    wanted: fc.array(fc.double({min: -5, max: 50, noNaN: true}), {minLength: 12, maxLength: 12}),
  })
  .map(({columns, twins, wanted}) => ({
    wanted,
    columns: [
      ...columns,
      ...twins.map(({of, size}) =>
        columns[of % columns.length]!.map((value, i) => 10 ** size * value * (1 + i * 1e-10)),
      ),
    ],
  }));

const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((sum, value, i) => sum + value * b[i]!, 0);

test('however alike the columns are, an answer comes, nothing in it is negative, and it is no worse than none', () => {
  fc.assert(
    fc.property(problems, ({columns, wanted}) => {
      const gram = Float64Array.from(columns.flatMap(one => columns.map(other => dot(one, other))));
      const moment = Float64Array.from(columns, column => dot(column, wanted));
      const solved = nonNegativeLeastSquares(gram, moment);
      expect([...solved].every(value => value >= 0)).toBe(true);
      const rest = wanted.map(
        (value, i) => value - columns.reduce((sum, column, k) => sum + solved[k]! * column[i]!, 0),
      );
      expect(dot(rest, rest)).toBeLessThanOrEqual(dot(wanted, wanted) * (1 + 1e-6) + 1e-9);
    }),
    {numRuns: 2000},
  );
});
