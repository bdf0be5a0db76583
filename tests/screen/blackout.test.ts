import {afterEach, beforeEach, describe, expect, it, vi} from 'vitest';
import {watchShutter} from '../../src/screen/blackout.js';
import {createFakeSession} from './fake-session.js';

describe('black while the shutter is open', () => {
  beforeEach(() => void vi.useFakeTimers());
  afterEach(() => void vi.useRealTimers());

  const watched = (speed = 1) => {
    const session = createFakeSession({speed});
    let black = false;
    const end = watchShutter(session, on => {
      black = on;
    });
    return {session, end, isBlack: () => black};
  };

  it('is black from half a second before the opening on, so that no light is still on its way', () => {
    const {session, isBlack} = watched();
    session.set({activity: {kind: 'countdown', subject: {kind: 'attempt', attempt: 1}, opensAtMs: 3000, cue: null}});
    session.nowMs = 2400;
    vi.advanceTimersByTime(2400);
    expect(isBlack()).toBe(false);
    session.nowMs = 2500;
    vi.advanceTimersByTime(100);
    expect(isBlack()).toBe(true);
  });

  it('counts in the faster time of a simulated room', () => {
    const {session, isBlack} = watched(10);
    session.set({activity: {kind: 'countdown', subject: {kind: 'attempt', attempt: 1}, opensAtMs: 10_500, cue: null}});
    session.nowMs = 10_000;
    vi.advanceTimersByTime(1000);
    expect(isBlack()).toBe(true);
  });

  it.each([
    ['an exposure', {kind: 'open', subject: {kind: 'attempt', attempt: 1}, openedAtMs: 0, seconds: 8, cue: 'paint'}],
    ['the probe of a room check', {kind: 'room check', attempt: 1, say: null, holding: false}],
    ['a probe for the plan', {kind: 'measuring', subject: {kind: 'probe'}}],
  ] as const)('is black during %s and no longer', (_what, activity) => {
    const {session, isBlack} = watched();
    session.set({activity});
    expect(isBlack()).toBe(true);
    session.set({activity: {kind: 'measuring', subject: {kind: 'attempt', attempt: 1}}});
    expect(isBlack()).toBe(false);
  });

  it('is not black when the countdown was stopped', () => {
    const {session, isBlack} = watched();
    session.set({activity: {kind: 'countdown', subject: {kind: 'attempt', attempt: 1}, opensAtMs: 3000, cue: null}});
    session.set({activity: {kind: 'resting'}});
    session.nowMs = 5000;
    vi.advanceTimersByTime(5000);
    expect(isBlack()).toBe(false);
  });
});
