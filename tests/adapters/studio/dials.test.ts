import {describe, expect, it} from 'vitest';
import {turned} from '../../../adapters/studio/dials.js';
import {CameraFault} from '../../../shared/camera.js';

const now = {shutterSeconds: 8, fNumber: 8, iso: 100};

const refusal = (change: Partial<typeof now>): CameraFault => {
  try {
    turned(now, change);
  } catch (error) {
    if (error instanceof CameraFault) return error;
  }
  throw new Error('was not refused');
};

describe('The studio camera’s dials', () => {
  it('take marked values as they are', () => {
    expect(turned(now, {fNumber: 10, iso: 50})).toEqual({shutterSeconds: 8, fNumber: 10, iso: 50});
    expect(turned(now, {shutterSeconds: 1 / 125}).shutterSeconds).toBeCloseTo(1 / 125, 9);
    expect(turned(now, {fNumber: 1.8, iso: 25_600}).iso).toBe(25_600);
  });

  it('turn to the nearest mark for a value between two', () => {
    expect(turned(now, {fNumber: 8.2}).fNumber).toBe(8);
    expect(turned(now, {iso: 105}).iso).toBe(100);
    expect(turned(now, {shutterSeconds: 0.26}).shutterSeconds).toBe(0.25);
  });

  it('hold any time from a second on, past 30 s as bulb', () => {
    expect(turned(now, {shutterSeconds: 7}).shutterSeconds).toBe(7);
    expect(turned(now, {shutterSeconds: 45}).shutterSeconds).toBe(45);
  });

  it.each([
    [{fNumber: 1.2}, 'f/1.2', 'f/1.8'],
    [{fNumber: 45}, 'f/45', 'f/22'],
    [{iso: 25}, 'ISO 25', 'ISO 50'],
    [{iso: 102_400}, 'ISO 102400', 'ISO 25600'],
    [{shutterSeconds: 1 / 16_000}, '1/16000', '1/8000'],
    [{shutterSeconds: 7200}, '7200s', '3600s'],
  ])('refuse %j and name the nearest', (change, wanted, nearest) => {
    const fault = refusal(change);
    expect(fault.reason).toBe('refused');
    expect(fault.message).toContain(wanted);
    expect(fault.message).toContain(nearest);
  });
});
