import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {CURVE_KINDS} from '../../src/frame/curve/basis.js';
import {anyCurve, POWERS} from '../../src/frame/curve/belief.js';
import {
  agrees,
  beliefFor,
  type CurveEvidence,
  type LearnedCurve,
  learnFrom,
} from '../../src/frame/curve/learned-curve.js';

const coordinates = fc.array(fc.double({min: -4, max: 4, noNaN: true}), {minLength: 4, maxLength: 4});

const ofKind = fc.record({z: coordinates, against: fc.double({min: 0, max: 30, noNaN: true})});

const evidence: fc.Arbitrary<CurveEvidence> = fc.record({
  kind: fc.constantFrom(...CURVE_KINDS),
  kinds: fc.option(fc.record({contrast: ofKind, intoPower: ofKind, wide: ofKind}, {requiredKeys: ['contrast']})),
  againstPowers: fc.array(fc.double({min: -300, max: 300, noNaN: true}), {
    minLength: POWERS.length,
    maxLength: POWERS.length,
  }),
});

const learnedFrom = (all: readonly CurveEvidence[]): LearnedCurve => {
  const learned: LearnedCurve = new Map();
  for (const [n, one] of all.entries()) learnFrom(learned, `${n}.jpg`, one);
  return learned;
};

const against = POWERS.map(() => 60);
const bent = (z: readonly number[]): CurveEvidence => ({
  kind: 'contrast',
  kinds: {contrast: {z, against: 0}},
  againstPowers: against,
});

describe('what frames of one shoot say of the tone curve', () => {
  it('is nothing before there is one, and a frame is not told by itself', () => {
    expect(beliefFor(new Map(), 'a.jpg')).toEqual(anyCurve);
    expect(beliefFor(learnedFrom([bent([1, 2, 3, 0])]), '0.jpg')).toEqual(anyCurve);
  });

  it('does not depend on their order, nor on measuring one of them again', () => {
    fc.assert(
      fc.property(fc.array(evidence, {minLength: 2, maxLength: 8}), all => {
        const learned = learnedFrom(all);
        const belief = beliefFor(learned, 'other.jpg');
        const turned: LearnedCurve = new Map([...learned].reverse());
        learnFrom(learned, '0.jpg', all[0]!);
        for (const same of [beliefFor(turned, 'other.jpg'), beliefFor(learned, 'other.jpg')]) {
          expect(same.frames).toBe(belief.frames);
          expect(same.kind).toBe(belief.kind);
          expect(same.others.map(({kind}) => kind)).toEqual(belief.others.map(({kind}) => kind));
          for (const [n, value] of same.z.entries()) expect(value).toBeCloseTo(belief.z[n]!, 9);
          for (const [n, value] of same.againstPowers.entries()) {
            expect(value).toBeCloseTo(belief.againstPowers[n]!, 9);
          }
        }
      }),
    );
  });

  it('comes ever closer to what they agree on, and one that differs doesn’t throw it over', () => {
    const z = [-1.7, -0.8, -0.4, 0];
    const off = (count: number): number => {
      const belief = beliefFor(learnedFrom(Array.from({length: count}, () => bent(z))), 'other.jpg');
      return Math.max(...belief.z.map((value, n) => Math.abs(value - z[n]!)));
    };
    expect(off(1)).toBeLessThan(0.2);
    expect(off(4)).toBeLessThan(off(1));
    const power: CurveEvidence = {kind: 'contrast', kinds: null, againstPowers: POWERS.map(() => -300)};
    const mixed = beliefFor(learnedFrom([...Array.from({length: 4}, () => bent(z)), power]), 'other.jpg');
    expect(Math.min(...mixed.againstPowers)).toBeGreaterThan(0);
    expect(agrees(mixed, bent(z))).toBe(true);
    expect(agrees(mixed, power)).toBe(false);
    expect(agrees(mixed, null)).toBe(false);
  });

  it('decides of which kind the curve is, and then holds the coordinates of such a one', () => {
    const [plain, power] = [
      [-1, 0.5, 0, 0],
      [-1.4, -1, 0.8, 0],
    ];
    /** What speaks for a power's end, as the logarithm of a likelihood; a wide curve was out of the question. */
    const told = (gain: number): CurveEvidence => ({
      kind: gain > 0 ? 'intoPower' : 'contrast',
      kinds: {contrast: {z: plain!, against: Math.max(0, gain)}, intoPower: {z: power!, against: Math.max(0, -gain)}},
      againstPowers: against,
    });
    const from = (all: number[]) => beliefFor(learnedFrom(all.map(told)), 'other.jpg');
    expect(from([0.3, 0.3, 0.3]).kind).toBe('contrast');
    expect(from([3, 3, 3]).kind).toBe('intoPower');
    // One frame's say is bounded.
    expect(from([100, -2, -2, -2]).kind).toBe('contrast');
    for (const [gain, z, other] of [
      [-1, plain!, power!],
      [3, power!, plain!],
    ] as const) {
      const {z: own, others} = from([gain, gain, gain]);
      expect(others.map(({kind}) => kind)).toEqual([gain > 0 ? 'contrast' : 'intoPower']);
      for (const [n, value] of z.entries()) expect(Math.abs(own[n]! - value)).toBeLessThan(0.15);
      for (const [n, value] of other.entries()) expect(Math.abs(others[0]!.z[n]! - value)).toBeLessThan(0.15);
    }
    expect(from([8, 8, 8, 8]).others).toEqual([]);
    expect(agrees(from([3, 3, 3]), told(-3))).toBe(false);
    expect(agrees(from([3, 3, 3]), told(3))).toBe(true);
  });
});
