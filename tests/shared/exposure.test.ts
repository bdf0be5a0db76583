import fc from 'fast-check';
import {describe, expect, test} from 'vitest';
import {
  parseAperture,
  parseIso,
  parseShutter,
  printAperture,
  printExposure,
  printIso,
  printShutter,
  SettingFault,
} from '../../shared/exposure.js';

describe('shutter times', () => {
  test.each([
    ['1/125', 0.008],
    ['8s', 8],
    ['8', 8],
    ['8 s', 8],
    ['0.5s', 0.5],
    ['0,5', 0.5],
    ['1/2.5', 0.4],
    ['8"', 8],
    ['90s', 90],
  ])('%s is read as %d seconds', (text, seconds) => {
    expect(parseShutter(text)).toBeCloseTo(seconds, 12);
  });

  test.each(['', '0', '-8', '1/0', 'eight', '1/2/3', '8m', 'Infinity', '1e3', '99999999'])(
    '%j is refused in one sentence',
    text => {
      expect(() => parseShutter(text)).toThrow(SettingFault);
      expect(() => parseShutter(text)).toThrow(/^[^\n]+\.$/);
    },
  );

  test('are printed as the dials print them', () => {
    expect([8, 0.5, 1 / 125, 1 / 8000, 0.25, 1 / 3, 30, 0.3].map(printShutter)).toEqual([
      '8s',
      '0.5s',
      '1/125',
      '1/8000',
      '1/4',
      '0.3333s',
      '30s',
      '0.3s',
    ]);
  });

  test('come back from print to parse within half a percent', () => {
    fc.assert(
      fc.property(fc.double({min: 1 / 8000, max: 3600, noNaN: true}), seconds => {
        const back = parseShutter(printShutter(seconds));
        // 1/x is printed with two digits under 1/10, so the nominal names 1/2.5 and 1/6 stay readable.
        expect(Math.abs(back / seconds - 1)).toBeLessThan(seconds < 0.3 && seconds > 0.1 ? 0.05 : 0.005);
      }),
    );
  });
});

describe('apertures', () => {
  test.each([
    ['f/8', 8],
    ['F8', 8],
    ['8', 8],
    ['f/5.6', 5.6],
    ['f 1,4', 1.4],
  ])('%s is read as N %d', (text, fNumber) => {
    expect(parseAperture(text)).toBeCloseTo(fNumber, 12);
  });
  test.each(['', 'f/0', 'f/-8', 'f/900', 'eight', 'f/8/2'])('%j is refused', text => {
    expect(() => parseAperture(text)).toThrow(SettingFault);
  });
  test('are printed with the marked digits', () => {
    expect([8, 5.6, 1.4, 10, 22, 6.349].map(printAperture)).toEqual(['f/8', 'f/5.6', 'f/1.4', 'f/10', 'f/22', 'f/6.3']);
  });
});

describe('sensitivities', () => {
  test.each([
    ['ISO 100', 100],
    ['iso100', 100],
    ['64', 64],
  ])('%s is read as %d', (text, iso) => {
    expect(parseIso(text)).toBe(iso);
  });
  test.each(['', 'ISO', '0', '-100', '1.5', '999999999'])('%j is refused', text => {
    expect(() => parseIso(text)).toThrow(SettingFault);
  });
  test('come back from print to parse', () => {
    fc.assert(
      fc.property(fc.integer({min: 1, max: 10_000_000}), iso => {
        expect(parseIso(printIso(iso))).toBe(iso);
      }),
    );
  });
});

test('an exposure is printed as one line', () => {
  expect(printExposure({shutterSeconds: 8, fNumber: 8, iso: 100})).toBe('8s f/8 ISO 100');
});

test('what a person typed is never echoed with control characters', () => {
  expect(() => parseShutter('\u001b[2J8')).toThrow(/"·\[2J8"/);
});
