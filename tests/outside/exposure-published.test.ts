import {describe, expect, it} from 'vitest';
import {apex, ev100, stopsBetween} from '../../src/light/exposure.js';
import {
  ev100OfLuminance,
  ev100OfLux,
  INCIDENT_C,
  luminanceOfEv100,
  luxOfEv100,
  REFLECTED_K,
} from '../../src/light/room.js';

const at = (shutterSeconds: number, fNumber: number, iso: number) => ({shutterSeconds, fNumber, iso});

/*
 * CH: colour-science/colour-hdri, docstrings and tests of its exposure functions (ISO 2720:1974 constants K 12.5, C 250).
 */
describe('exposure against published values', () => {
  it('f/1, 1 s, ISO 100 is EV 0, 0.125 cd/m² and 2.5 lx (CH)', () => {
    expect(ev100(at(1, 1, 100))).toBe(0);
    expect(luminanceOfEv100(0)).toBeCloseTo(0.125, 12);
    expect(luxOfEv100(0)).toBeCloseTo(2.5, 12);
  });

  it('f/8, 1 s, ISO 100 is EV 6, 8 cd/m² and 160 lx (CH)', () => {
    expect(ev100(at(1, 8, 100))).toBe(6);
    expect(luminanceOfEv100(6)).toBeCloseTo(8, 10);
    expect(luxOfEv100(6)).toBeCloseTo(160, 9);
  });

  it('0.125 cd/m² with K 14 is EV −0.16349873, 0.125 lx with C 340 is EV −4.76553475 (CH): the constants shift by log2', () => {
    expect(ev100OfLuminance(0.125) - Math.log2(14 / REFLECTED_K)).toBeCloseTo(-0.16349873, 8);
    expect(ev100OfLux(0.125) - Math.log2(340 / INCIDENT_C)).toBeCloseTo(-4.76553475, 8);
  });

  it('f/8, 1/250 s, ISO 400 is EV100 11.9657842 (CH)', () => {
    expect(ev100(at(1 / 250, 8, 400))).toBeCloseTo(11.9657842, 6);
  });

  it('f/10, 8 s is Av 6.643856 and Tv −3 as Exif writes them (exiftool, Exif.pm)', () => {
    const {av, tv} = apex(at(8, 10, 100));
    expect(av).toBeCloseTo(6.643856, 6);
    expect(tv).toBe(-3);
  });

  it('f/10, 8 s, ISO 100: EV 3.6439, 31.25 lx, 1.5625 cd/m² (computed from ISO 2720)', () => {
    const ev = ev100(at(8, 10, 100));
    expect(ev).toBeCloseTo(3.6439, 4);
    expect(luxOfEv100(ev)).toBeCloseTo(31.25, 9);
    expect(luminanceOfEv100(ev)).toBeCloseTo(1.5625, 9);
  });

  it.each([
    ['f/16, 1/125 s, ISO 100', at(1 / 125, 16, 100), 14.9658],
    ['f/11, 10 s, ISO 50', at(10, 11, 50), 4.5969],
  ])('%s (computed)', (_, exposure, expected) => {
    expect(ev100(exposure)).toBeCloseTo(expected, 4);
  });

  it.each([
    [0.01, -7.9658],
    [0.1, -4.6439],
    [10, 2],
    [320, 7],
  ])('%d lx is EV100 %d (computed, C 250)', (lux, expected) => {
    expect(ev100OfLux(lux)).toBeCloseTo(expected, 4);
  });

  it('f/8 ISO 100 to f/10 ISO 50 at the same time is −1.644 EV (computed)', () => {
    expect(stopsBetween(at(8, 8, 100), at(8, 10, 50))).toBeCloseTo(-1.644, 3);
  });
});
