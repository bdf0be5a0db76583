import {describe, expect, it} from 'vitest';
import {
  printChange,
  printDistance,
  printKelvin,
  printLevel,
  printNumber,
  printPercent,
  printSeconds,
  printSigned,
  printSmall,
  printStops,
  shortText,
} from '../../src/light/words.js';

describe('numbers for people', () => {
  it('have a real minus sign and no minus zero', () => {
    expect(printLevel(-4.8)).toBe('−4.8 EV');
    expect(printLevel(-0.04)).toBe('0.0 EV');
    expect(printNumber(Number.NEGATIVE_INFINITY, 1)).toBe('−∞');
  });

  it('show the sign of a change, and none for no change', () => {
    expect([1, -1.644, 0.01].map(value => printChange(value))).toEqual(['+1.0 EV', '−1.6 EV', '0.0 EV']);
    expect([0.1, -0.3, 0].map(value => printSigned(value))).toEqual(['+0.1', '−0.3', '0.0']);
  });

  it('say stops as photographers do', () => {
    expect([1, -2, 1 / 3, 2 / 3, 4 / 3, 1.5, 0].map(printStops)).toEqual([
      'one stop',
      'two stops',
      'a third of a stop',
      'two thirds of a stop',
      '1⅓ stops',
      '1.5 stops',
      'no stops',
    ]);
  });

  it('are in metres, with feet and inches beside them on request', () => {
    expect(printDistance(1.2)).toBe('1.2 m');
    expect(printDistance(1.2, true)).toBe('1.2 m (3.9 ft)');
    expect(printDistance(12.345)).toBe('12.3 m');
    expect(printSmall(0.072)).toBe('7.2 cm');
    expect(printSmall(0.24, true)).toBe('24 cm (9.4 in)');
  });

  it('write times, colours and parts with a space before the unit', () => {
    expect([8, 0.5, 1 / 125].map(printSeconds)).toEqual(['8 s', '0.5 s', '1/125 s']);
    expect(printKelvin(2934)).toBe('2950 K');
    expect(printPercent(0.841)).toBe('84 %');
  });

  it('cut foreign text to its place', () => {
    expect(shortText('a\u001b[2Jlong name of a light', 8)).toBe('a [2Jlo…');
    expect(shortText('short', 8)).toBe('short');
  });
});
