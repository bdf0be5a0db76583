import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {
  airyMicrometres,
  circleOfConfusion,
  defocusMicrometres,
  depthAroundMark,
  depthOfField,
  type Optics,
  printLimit,
} from '../../src/light/focus.js';

const optics = (focalMillimetres: number, fNumber: number): Optics => ({
  focalMillimetres,
  fNumber,
  sensorWidthMillimetres: 36,
  sensorHeightMillimetres: 24,
});
const lenses = fc.record({
  focalMillimetres: fc.double({min: 14, max: 200, noNaN: true}),
  fNumber: fc.double({min: 1.2, max: 22, noNaN: true}),
  sensorWidthMillimetres: fc.constant(36),
  sensorHeightMillimetres: fc.constant(24),
});
const metres = fc.double({min: 0.5, max: 20, noNaN: true});

describe('depth of field', () => {
  it('holds the distance focused on', () => {
    fc.assert(
      fc.property(lenses, metres, (lens, distance) => {
        const {nearMetres, farMetres} = depthOfField(lens, distance);
        expect(nearMetres).toBeLessThan(distance);
        if (farMetres !== null) expect(farMetres).toBeGreaterThan(distance);
      }),
    );
  });

  it('grows when the aperture closes', () => {
    fc.assert(
      fc.property(lenses, metres, (lens, distance) => {
        const open = depthOfField(lens, distance);
        const closed = depthOfField({...lens, fNumber: lens.fNumber * 1.4}, distance);
        expect(closed.nearMetres).toBeLessThan(open.nearMetres);
        expect(closed.farMetres ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(
          open.farMetres ?? Number.POSITIVE_INFINITY,
        );
      }),
    );
  });

  it('ends where the blur is exactly the circle of confusion', () => {
    fc.assert(
      fc.property(lenses, metres, (lens, distance) => {
        const {nearMetres, farMetres} = depthOfField(lens, distance);
        const allowed = circleOfConfusion(36, 24) * 1000;
        expect(defocusMicrometres(lens, distance, nearMetres)).toBeCloseTo(allowed, 6);
        if (farMetres !== null && farMetres < 1e4)
          expect(defocusMicrometres(lens, distance, farMetres)).toBeCloseTo(allowed, 4);
      }),
    );
  });

  it('reaches from half the hyperfocal distance to infinity when focused there', () => {
    const {hyperfocalMetres} = depthOfField(optics(35, 8), 2);
    const at = depthOfField(optics(35, 8), hyperfocalMetres);
    expect(at.farMetres).toBeNull();
    expect(at.nearMetres).toBeCloseTo(hyperfocalMetres / 2, 9);
  });

  it('is told around the mark in centimetres', () => {
    const around = depthAroundMark(depthOfField(optics(50, 8), 2), 2);
    expect(around.frontCentimetres).toBeCloseTo(31.54, 2);
    expect(around.behindCentimetres).toBeCloseTo(46.06, 2);
    expect(depthAroundMark(depthOfField(optics(16, 8), 2), 2).behindCentimetres).toBeNull();
  });

  it('takes the blur in proportion to the sensor: half the diagonal, half the circle', () => {
    expect(circleOfConfusion(36, 24)).toBeCloseTo(0.03, 12);
    expect(circleOfConfusion(18, 12)).toBeCloseTo(0.015, 12);
  });

  it('refuses to focus nearer than the focal length', () => {
    expect(() => depthOfField(optics(50, 8), 0.05)).toThrow(
      "a lens of 50 mm can't focus nearer than its focal length.",
    );
  });
});

describe('sharpness for a print', () => {
  it('in focus is limited by diffraction, out of it by defocus', () => {
    expect(printLimit(optics(50, 16), 2, 2, 0.5).limitedBy).toBe('diffraction');
    expect(printLimit(optics(50, 2), 2, 2.3, 0.5).limitedBy).toBe('defocus');
  });

  it('allows a print as large as its blur allows from where it is seen: twice as far, twice as large', () => {
    const near = printLimit(optics(50, 8), 2, 2.05, 0.5);
    const far = printLimit(optics(50, 8), 2, 2.05, 1);
    expect(far.longSideMetres).toBeCloseTo(2 * near.longSideMetres, 9);
    // 0.2 mm from a quarter of a metre: 36 mm at a blur of b µm becomes 36·200/b mm.
    const close = printLimit(optics(50, 8), 2, 2.05, 0.25);
    expect(close.longSideMetres * 1000).toBeCloseTo((36 * 200) / close.blurMicrometres, 6);
  });

  it('adds the two blurs as the sides of a right angle', () => {
    const limit = printLimit(optics(50, 8), 2, 2.1, 0.5);
    const defocus = defocusMicrometres(optics(50, 8), 2, 2.1);
    expect(limit.blurMicrometres).toBeCloseTo(Math.hypot(defocus, airyMicrometres(8)), 9);
  });
});
