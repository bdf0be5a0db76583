import {afterEach, beforeEach, describe, expect, it, vi} from 'vitest';
import {createTurningClock} from '../../src/screen/terminal/turning-clock.js';

describe('the clock between two presses', () => {
  let nowMs = 0;
  beforeEach(() => {
    nowMs = 5000;
    vi.useFakeTimers();
  });
  afterEach(() => void vi.useRealTimers());

  /** Time in which the program runs, and time in which it is held up. */
  const runs = (ms: number): void => {
    for (let done = 0; done < ms; done += 10) {
      nowMs += 10;
      vi.advanceTimersByTime(10);
    }
  };
  const heldUp = (ms: number): void => {
    nowMs += ms;
  };
  const between = (happens: () => void): number => {
    const clock = createTurningClock(() => nowMs);
    const from = clock.now();
    clock.pressed();
    happens();
    const took = clock.now() - from;
    clock.stop();
    return took;
  };

  it('goes with the real one while the program runs, watched or not', () => {
    expect(between(() => runs(700))).toBe(700);
    expect(between(() => runs(5000))).toBe(5000);
  });

  it('does not count the time for which the program was held up', () => {
    expect(
      between(() => {
        runs(300);
        heldUp(2000);
      }),
    ).toBeLessThanOrEqual(400);
  });

  it('leaves no timer behind', () => {
    between(() => runs(2000));
    expect(vi.getTimerCount()).toBe(0);
  });
});
