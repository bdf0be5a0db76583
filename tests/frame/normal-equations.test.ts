import fc from 'fast-check';
import {expect, test} from 'vitest';
import {type AddedLight, addedRows} from '../../src/frame/fit/added-rows.js';
import {addPoint, mirrored, normalEquations, sharedFor} from '../../src/frame/fit/normal-equations.js';

const value = fc.double({min: -3, max: 3, noNaN: true});
const three = fc.tuple(value, value, value);
const positive = fc.double({min: 0, max: 2, noNaN: true});

/** A few points with columns of their own and lights that were added, some of them of one tint. */
const problems = fc
  .record({
    points: fc.array(
      fc.record({
        own: fc.array(three, {minLength: 2, maxLength: 2}),
        target: three,
        worth: fc.tuple(positive, positive, positive),
      }),
      {minLength: 1, maxLength: 8},
    ),
    reflected: fc.array(positive, {minLength: 24, maxLength: 24}),
    tints: fc.array(three, {minLength: 1, maxLength: 3}),
    added: fc.array(
      fc.record({tint: fc.nat(2), shape: fc.array(fc.oneof(fc.constant(0), value), {minLength: 8, maxLength: 8})}),
      {maxLength: 5},
    ),
    used: fc.array(fc.boolean(), {minLength: 7, maxLength: 7}),
  })
  .map(({points, reflected, tints, added, used}) => ({
    reflected: Float64Array.from(reflected.slice(0, 3 * points.length)),
    points,
    used,
    added: added.map(
      ({tint, shape}): AddedLight => ({
        shape: Float64Array.from(shape.slice(0, points.length)),
        tint: [...tints[tint % tints.length]!],
        sigma: 1,
      }),
    ),
  }));

test('summed up by points they are those of the whole matrix, with only the columns that take part', () => {
  fc.assert(
    fc.property(problems, ({points, reflected, added, used}) => {
      const own = 2;
      const size = own + added.length;
      const isUsed = Uint8Array.from({length: size}, (_, k) => (k < own || used[k] ? 1 : 0));
      const equations = normalEquations(size);
      const rows = addedRows(added, reflected);
      const shared = sharedFor(rows, own);
      // The matrix as it would be written down: a row for each channel of each point.
      const wanted = {gram: new Float64Array(size * size), moment: new Float64Array(size)};
      points.forEach((point, i) => {
        const columns = {count: own, which: Int32Array.from([0, 1]), values: Float64Array.from(point.own.flat())};
        addPoint(
          equations,
          columns,
          rows,
          i,
          own,
          isUsed,
          Float64Array.from(point.target),
          Float64Array.from(point.worth),
          shared,
        );
        for (let c = 0; c < 3; c++) {
          const there = reflected[c * points.length + i]!;
          const row = [
            ...point.own.map(values => values[c]!),
            ...added.map(({shape, tint}) => there * shape[i]! * tint[c]!),
          ];
          for (let a = 0; a < size; a++) {
            if (!isUsed[a]) continue;
            wanted.moment[a]! += point.worth[c]! * row[a]! * point.target[c]!;
            for (let b = 0; b < size; b++) {
              if (isUsed[b]) wanted.gram[a * size + b]! += point.worth[c]! * row[a]! * row[b]!;
            }
          }
        }
      });
      mirrored(equations);
      for (let at = 0; at < size * size; at++) expect(equations.gram[at]!).toBeCloseTo(wanted.gram[at]!, 8);
      for (let at = 0; at < size; at++) expect(equations.moment[at]!).toBeCloseTo(wanted.moment[at]!, 8);
    }),
    {numRuns: 500},
  );
});
