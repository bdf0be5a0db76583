import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {limitsSchema} from '../../shared/journal.js';
import {
  type LimitName,
  type LimitRule,
  limitNames,
  limitOf,
  limitRules,
  stateAgainst,
  worst,
} from '../../src/judge/limits.js';

const names = fc.constantFrom(...limitNames);
const ruleOf = (name: LimitName): LimitRule => limitRules[name];

describe('limits', () => {
  it('have a usual value, a unit and words each, and are kept by the journal', () => {
    const usual = Object.fromEntries(limitNames.map(name => [name, limitRules[name].usual]));
    expect(limitsSchema.parse(usual)).toEqual(usual);
    for (const name of limitNames) {
      expect(ruleOf(name).words).not.toBe('');
      expect(ruleOf(name).unit).not.toBe('');
    }
  });

  it('are the usual ones until a shoot sets its own', () => {
    expect(limitOf({}, 'spill')).toBe(-5);
    expect(limitOf({spill: -7}, 'spill')).toBe(-7);
    expect(limitOf({spill: Number.NaN}, 'spill')).toBe(-5);
  });

  it('fail beyond, are watched just inside, and are ok farther in', () => {
    expect([-4.9, -5, -5.5, -5.7].map(value => stateAgainst({}, 'spill', value))).toEqual([
      'fail',
      'watch',
      'watch',
      'ok',
    ]);
    expect([0.59, 0.61, 0.8].map(value => stateAgainst({}, 'coverage', value))).toEqual(['fail', 'watch', 'ok']);
  });

  it('never get better as the reading gets worse', () => {
    const order = ['ok', 'watch', 'fail'];
    fc.assert(
      fc.property(
        names,
        fc.double({min: -10, max: 10, noNaN: true}),
        fc.double({min: 0, max: 5, noNaN: true}),
        (name, value, more) => {
          const worse = ruleOf(name).bound === 'most' ? value + more : value - more;
          expect(order.indexOf(stateAgainst({}, name, worse))).toBeGreaterThanOrEqual(
            order.indexOf(stateAgainst({}, name, value)),
          );
        },
      ),
    );
  });

  it('add up to the worst state', () => {
    expect(worst('ok', 'fail', 'watch')).toBe('fail');
    expect(worst('ok', 'watch')).toBe('watch');
    expect(worst()).toBe('ok');
  });
});
