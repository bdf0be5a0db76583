import {describe, expect, it} from 'vitest';
import {fastClock, SleptFault, systemAsleepMs, systemClock, waitAwake} from '../../src/shoot/cue-clock.js';
import {jumpingClock} from './fakes.js';

describe.each([
  ['the system clock', systemClock(), 1],
  ['a clock ten times as fast', fastClock(10), 10],
])('%s', (_, clock, speed) => {
  it('never ends a wait too early, and does not add up lateness over many', async () => {
    const start = clock.now();
    for (let step = 1; step <= 20; step++) {
      await clock.until(start + step * 7 * speed);
      expect(clock.now()).toBeGreaterThanOrEqual(start + step * 7 * speed);
    }
  });

  it('does not follow the wall clock', async () => {
    const real = Date.now;
    const before = clock.now();
    Date.now = () => real() - 86_400_000;
    try {
      expect(clock.now()).toBeGreaterThanOrEqual(before);
    } finally {
      Date.now = real;
    }
  });

  it('lets a wait go with the reason of the stop, before or while it waits', async () => {
    const stop = new AbortController();
    const waiting = clock.until(clock.now() + 1e9, stop.signal);
    stop.abort(new Error('stopped'));
    await expect(waiting).rejects.toThrow('stopped');
    await expect(clock.until(clock.now() + 1e9, stop.signal)).rejects.toThrow('stopped');
  });

  it('has a moment that is past at once', async () => {
    await clock.until(clock.now() - 1000);
  });
});

it('a fast clock runs as much faster as it was asked to', async () => {
  const [real, fast] = [systemClock(), fastClock(50)];
  const [realStart, fastStart] = [real.now(), fast.now()];
  await real.until(realStart + 40);
  const passed = (fast.now() - fastStart) / (real.now() - realStart);
  expect(passed).toBeGreaterThan(45);
  expect(passed).toBeLessThan(55);
});

describe('waiting awake', () => {
  const time = (asleepMs: () => number, speed = 1) => ({clock: jumpingClock(), speed, asleepMs});

  it('passes while the machine is awake, to the very moment', async () => {
    const keeper = time(() => 12_345);
    await waitAwake(keeper, 11_000, 12_345);
    expect(keeper.clock.now()).toBe(11_000);
  });

  it('says how long the machine slept', async () => {
    const keeper = time(() => 0);
    const slept = {...keeper, asleepMs: () => (keeper.clock.now() > 3000 ? 90_000 : 0)};
    await expect(waitAwake(slept, 11_000, 0)).rejects.toThrow(
      new SleptFault('The computer slept or was held up for 90 s, so the cues were no longer true.'),
    );
    expect(keeper.clock.now()).toBeLessThan(4000);
  });

  it('counts real seconds, however fast the clock runs', async () => {
    const keeper = time(() => 0, 100);
    const wait = waitAwake(keeper, 400_000, 0);
    keeper.clock.jump(150_000);
    await wait;
  });
});

it('the machine has not slept while this test ran', async () => {
  const before = systemAsleepMs();
  await systemClock().until(systemClock().now() + 60);
  expect(Math.abs(systemAsleepMs() - before)).toBeLessThan(1500);
});
