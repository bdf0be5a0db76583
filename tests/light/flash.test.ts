import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {FlashLight} from '../../shared/rig.js';
import {distanceFactor, distanceStops, flashLevelEv, manyStops} from '../../src/light/flash.js';
import {
  flashCautions,
  fullPops,
  LEAST_SECONDS_BETWEEN_POPS,
  popsSeconds,
  recycleSeconds,
} from '../../src/light/flash-care.js';
import {guideNumberAtIso100, guideNumberAtZoom, guideNumberFromFeet} from '../../src/light/guide-number.js';
import {
  holdFlash,
  lightingRatio,
  nearestPower,
  powerAtDistance,
  powerSteps,
  printPower,
  suggestPower,
} from '../../src/light/power.js';
import {testRig} from './test-rig.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const bare: FlashLight = {...testRig.lights[0]!, gel: null, snoot: null, power: 1, pops: 1};
const metres = fc.double({min: 0.3, max: 20, noNaN: true});

describe('a flash', () => {
  it('exposes a mid-grey subject right at N = GN/d', () => {
    expect(flashLevelEv({...bare, guideNumberMetres: 32}, exposure, 4)).toBeCloseTo(0, 9);
  });

  it('obeys the inverse square law: twice the distance is two stops less', () => {
    fc.assert(
      fc.property(metres, metres, (near, far) => {
        const change = flashLevelEv(bare, exposure, far) - flashLevelEv(bare, exposure, near);
        expect(change).toBeCloseTo(distanceStops(near, far), 8);
        expect(distanceStops(near, 2 * near)).toBeCloseTo(-2, 9);
      }),
    );
  });

  it('only gets darker with distance', () => {
    fc.assert(
      fc.property(metres, fc.double({min: 1.001, max: 10, noNaN: true}), (near, factor) => {
        expect(flashLevelEv(bare, exposure, near * factor)).toBeLessThan(flashLevelEv(bare, exposure, near));
      }),
    );
  });

  it('gives one EV more for twice the power, the ISO, or the pops', () => {
    const one = flashLevelEv({...bare, power: 0.25}, exposure);
    expect(flashLevelEv({...bare, power: 0.5}, exposure) - one).toBeCloseTo(1, 9);
    expect(flashLevelEv({...bare, power: 0.25}, {...exposure, iso: 200}) - one).toBeCloseTo(1, 9);
    expect(flashLevelEv({...bare, power: 0.25, pops: 2}, exposure) - one).toBeCloseTo(1, 9);
  });

  it('does not mind the shutter time', () => {
    expect(flashLevelEv(bare, {...exposure, shutterSeconds: 1})).toBe(flashLevelEv(bare, exposure));
  });

  it('adds: two lights that give a and b give 2^a + 2^b together, as n equal ones give log2 n', () => {
    fc.assert(
      fc.property(fc.integer({min: 1, max: 64}), count => {
        const sum = Array.from({length: count}, () => 2 ** flashLevelEv(bare, exposure)).reduce((a, b) => a + b, 0);
        expect(Math.log2(sum)).toBeCloseTo(flashLevelEv(bare, exposure) + manyStops(count), 8);
      }),
    );
  });

  it('loses what gel and snoot take', () => {
    const gel = {name: 'half', miredShift: 109, lossStops: 0.49};
    expect(flashLevelEv({...bare, gel}, exposure)).toBeCloseTo(flashLevelEv(bare, exposure) - 0.49, 9);
    const snoot = {...testRig.lights[0]!.snoot!, lossStops: 1.2};
    expect(flashLevelEv({...bare, snoot}, exposure)).toBeCloseTo(flashLevelEv(bare, exposure) - 1.2, 9);
  });
});

describe('power', () => {
  it('goes in thirds of a stop from 1/1 to 1/256', () => {
    expect(powerSteps).toHaveLength(25);
    expect(powerSteps[0]).toBe(1);
    expect(powerSteps[24]).toBeCloseTo(1 / 256, 12);
    for (const [index, step] of powerSteps.entries()) {
      if (index > 0) expect(Math.log2(powerSteps[index - 1]! / step)).toBeCloseTo(1 / 3, 9);
    }
  });

  it('is written as flashes show it', () => {
    expect([1, 1 / 8, 2 ** (-11 / 3), 2 ** (-10 / 3), 1 / 256].map(printPower)).toEqual([
      '1/1',
      '1/8',
      '1/16 +0.3',
      '1/16 +0.7',
      '1/256',
    ]);
    expect(printPower(1 / 12)).toBe('1/12');
    expect(printPower(2)).toBe('2×');
  });

  it('finds the nearest step and says what is left over, never more than a sixth of a stop within the steps', () => {
    fc.assert(
      fc.property(fc.double({min: -7.5, max: -0.5, noNaN: true}), wanted => {
        const {power, leftoverEv} = suggestPower(1, 0, wanted);
        expect(powerSteps).toContain(power);
        expect(Math.abs(leftoverEv)).toBeLessThanOrEqual(1 / 6 + 1e-9);
        expect(Math.log2(power)).toBeCloseTo(wanted + leftoverEv, 8);
      }),
    );
  });

  it('stays at full power when more would be needed, and says how much is missing', () => {
    expect(suggestPower(0.5, -3)).toEqual({power: 1, leftoverEv: -2});
    expect(nearestPower(1e-6)).toBeCloseTo(1 / 256, 12);
  });

  it('keeps the face when the distance changes: p2 = p1·(d2/d1)²', () => {
    fc.assert(
      fc.property(metres, metres, (from, to) => {
        const moved = {...bare, power: powerAtDistance(0.01, from, to), distanceMetres: to};
        const before = {...bare, power: 0.01, distanceMetres: from};
        expect(flashLevelEv(moved, exposure)).toBeCloseTo(flashLevelEv(before, exposure), 8);
      }),
    );
  });
});

describe('holding a flash through a change of settings', () => {
  const light = {...bare, power: 1 / 8, distanceMetres: 1.2};
  const to = {shutterSeconds: 8, fNumber: 10, iso: 50};

  it('asks for 1.644 EV more from f/8 ISO 100 to f/10 ISO 50, or 0.57 of the distance', () => {
    const hold = holdFlash(light, exposure, to);
    expect(hold.flashEv).toBeCloseTo(1.644, 3);
    expect(hold.distanceMetres / light.distanceMetres).toBeCloseTo(0.566, 3);
    expect(hold.power!.power).toBeCloseTo(2 ** (-4 / 3), 9);
    expect(hold.pops).toBe(3);
  });

  it('keeps the level whichever way is taken', () => {
    const hold = holdFlash(light, exposure, to);
    const before = flashLevelEv(light, exposure);
    expect(flashLevelEv({...light, distanceMetres: hold.distanceMetres}, to)).toBeCloseTo(before, 9);
    const {power, leftoverEv} = hold.power!;
    expect(flashLevelEv({...light, power}, to)).toBeCloseTo(before + leftoverEv, 9);
  });

  it('offers no power beyond full, and no pops where less light is wanted', () => {
    expect(holdFlash({...light, power: 1}, exposure, to).power).toBeNull();
    expect(holdFlash(light, to, exposure).pops).toBeNull();
  });

  it('asks for nothing when only the time changes', () => {
    const hold = holdFlash(light, exposure, {...exposure, shutterSeconds: 2});
    expect(hold.flashEv).toBe(0);
    expect(hold.distanceMetres).toBe(light.distanceMetres);
  });
});

describe('the ratio of two lights', () => {
  it('is given in both conventions, and says which is which', () => {
    const ratio = lightingRatio({id: 'B', levelEv: -1}, {id: 'A', levelEv: 0});
    expect(ratio.keyToFill).toBeCloseTo(2, 9);
    expect(ratio.bothToFill).toBeCloseTo(3, 9);
    expect(ratio.say).toBe(
      'A gives 2 times the light of B (key to fill 2:1; where both overlap, key and fill together to fill, 3:1).',
    );
  });

  it('calls the brighter one the key, in whichever order they come', () => {
    expect(lightingRatio({id: 'A', levelEv: 0}, {id: 'B', levelEv: -1})).toEqual(
      lightingRatio({id: 'B', levelEv: -1}, {id: 'A', levelEv: 0}),
    );
  });
});

describe('guide numbers', () => {
  it('come in feet as well: 105 ft is 32 m', () => {
    expect(guideNumberFromFeet(105)).toBeCloseTo(32, 1);
  });

  it('stated at another ISO are brought to ISO 100', () => {
    expect(guideNumberAtIso100(51, 200)).toBeCloseTo(36.06, 2);
  });

  it('by zoom setting meet the table, lie between its rows, and stay at its ends', () => {
    const table = [
      {zoomMillimetres: 24, guideNumberMetres: 28},
      {zoomMillimetres: 50, guideNumberMetres: 42},
      {zoomMillimetres: 105, guideNumberMetres: 58},
    ] as const;
    expect(guideNumberAtZoom([...table], 50)).toBe(42);
    expect(guideNumberAtZoom([...table], 35)).toBeGreaterThan(28);
    expect(guideNumberAtZoom([...table], 35)).toBeLessThan(42);
    expect(guideNumberAtZoom([...table], 14)).toBe(28);
    expect(guideNumberAtZoom([...table], 200)).toBe(58);
  });
});

describe('care for flashes and people', () => {
  it('leaves at least a third of a second between pops (WCAG 2.3.1: no more than three flashes in a second)', () => {
    expect(popsSeconds({...bare, power: 1 / 128, pops: 4})).toBeCloseTo(3 * LEAST_SECONDS_BETWEEN_POPS, 9);
    expect(LEAST_SECONDS_BETWEEN_POPS).toBeCloseTo(1 / 3, 12);
  });

  it('counts on a full pop taking longest to recycle', () => {
    expect(recycleSeconds(1)).toBeGreaterThan(recycleSeconds(0.5));
    expect(recycleSeconds(0.25)).toBeCloseTo(recycleSeconds(1) / 4, 9);
  });

  it('warns when the pops do not fit into the exposure', () => {
    const [caution] = flashCautions({...bare, pops: 4}, 8, 0);
    expect(caution).toContain('too long for 8 s');
    expect(flashCautions({...bare, pops: 2, power: 1 / 16}, 8, 0)[0]).toContain('at least 0.3 s between its pops');
  });

  it('asks for a rest after many full pops, counted by energy', () => {
    expect(fullPops({...bare, power: 0.25, pops: 2}, 10)).toBe(5);
    expect(flashCautions(bare, 8, 25).join(' ')).toContain('let it rest');
    expect(flashCautions({...bare, power: 1 / 16}, 8, 25)).toEqual([]);
  });

  it('knows that a distance factor and its stops are one law', () => {
    fc.assert(
      fc.property(fc.double({min: -6, max: 6, noNaN: true}), stops => {
        expect(distanceStops(1, distanceFactor(stops))).toBeCloseTo(stops, 8);
      }),
    );
  });
});
