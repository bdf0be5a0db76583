import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Check} from '../../shared/reading.js';
import {attemptSummary, bestOf, lessonOf, lessonsOf, movesBetween, scoreOf} from '../../src/judge/compare.js';
import type {Earlier} from '../../src/judge/contract.js';
import {checksFor} from '../../src/judge/judge.js';
import {goodMeasurement, inputOf, readingOf, withFace, withLight, withSpill, withTrail} from './readings.js';

const attempt = (number: number, measurement = goodMeasurement, changes: string[] = []): Earlier => ({
  attempt: number,
  reading: readingOf(measurement),
  changes,
});

describe('two attempts compared', () => {
  it('say how each reading moved, and whether that is better', () => {
    const moves = movesBetween(
      attempt(1, withSpill('B', -4.8)).reading.checks,
      attempt(2, withSpill('B', -6.5)).reading.checks,
    );
    expect(moves.map(move => move.say)).toEqual(['spill B −1.7 EV, better']);
  });

  it('leave out what moved no more than chance moves it', () => {
    expect(movesBetween(attempt(1).reading.checks, attempt(2, withSpill('B', -6.4)).reading.checks)).toEqual([]);
  });

  it('judge a head gap by its state, because neither more nor less is better', () => {
    const high = attempt(1, withTrail({headGap: 1.4})).reading.checks;
    const middle = attempt(2, withTrail({headGap: 0.5})).reading.checks;
    const other = attempt(3, withTrail({headGap: 0.65})).reading.checks;
    expect(movesBetween(high, middle)).toMatchObject([
      {id: 'head gap', helped: 'better', say: 'head gap −0.9 heads, better'},
    ]);
    expect(movesBetween(middle, other)).toMatchObject([{id: 'head gap', helped: 'same', say: 'head gap +0.2 heads'}]);
  });

  it('read forwards and backwards as opposites', () => {
    const levels = fc.double({min: -9, max: -2, noNaN: true});
    const opposite = {better: 'worse', worse: 'better', same: 'same'} as const;
    fc.assert(
      fc.property(levels, levels, fc.double({min: 0, max: 1, noNaN: true}), (a, b, coverage) => {
        const one = attempt(1, withSpill('B', a)).reading.checks;
        const two = attempt(2, {...withTrail({coverage}), spill: withSpill('B', b).spill}).reading.checks;
        const there = movesBetween(one, two);
        const back = movesBetween(two, one);
        expect(back.map(move => opposite[move.helped])).toEqual(there.map(move => move.helped));
      }),
      {numRuns: 40},
    );
  });
});

describe('the score', () => {
  it('puts every attempt without a failure before every attempt with one', () => {
    const failing = [withSpill('B', -4), withLight('A', false, null), withTrail({crossing: 0.05})].map(each =>
      scoreOf(readingOf(each)),
    );
    const watched = scoreOf(readingOf({...withFace({levelEv: 1, sharpness: 0.7}), spill: withSpill('B', -5.2).spill}));
    expect(watched).toBeGreaterThanOrEqual(50);
    for (const score of failing) expect(score).toBeLessThan(50);
    expect(scoreOf(readingOf(goodMeasurement))).toBeGreaterThan(watched);
  });

  it('ranks what passes alike by how far it keeps from its limits', () => {
    expect(scoreOf(readingOf(withTrail({coverage: 0.95})))).toBeGreaterThan(
      scoreOf(readingOf(withTrail({coverage: 0.8}))),
    );
  });

  it('is between 0 and 100, and 0 where nothing was checked', () => {
    expect(scoreOf({checks: []})).toBe(0);
    const states = fc.constantFrom('ok', 'watch', 'fail');
    const checks = fc.array(fc.record({id: fc.constantFrom('coverage', 'spill A', 'flash B', 'room'), state: states}), {
      minLength: 1,
    });
    fc.assert(
      fc.property(checks, list => {
        const full = list.map((each): Check => ({...each, say: '', value: 0.5, limit: 0.4, unit: ''}));
        expect(scoreOf({checks: full})).toBeGreaterThanOrEqual(0);
        expect(scoreOf({checks: full})).toBeLessThanOrEqual(100);
      }),
    );
  });

  it('names the best attempt, the later one of equals', () => {
    expect(bestOf([])).toBeNull();
    expect(bestOf([attempt(1), attempt(2, withSpill('B', -4)), attempt(3)])?.attempt).toBe(3);
  });
});

describe('lessons of a shoot', () => {
  const shoot: Earlier[] = [
    attempt(1, withSpill('B', -4.8)),
    attempt(2, withSpill('B', -6.5), ['B moved 1.2 → 0.9 m']),
    attempt(3, {...withFace({levelEv: -4}), spill: withSpill('B', -6.5).spill}, ['A power 1/4 → 1/32']),
    attempt(4, {...withFace({levelEv: -4}), spill: withSpill('B', -6.5).spill}),
  ];

  it('say what each change did', () => {
    expect(lessonOf(shoot[0]!, shoot[1]!)).toMatchObject({
      helped: 'better',
      say: 'B moved 1.2 → 0.9 m: spill B −1.7 EV, better',
    });
    expect(lessonOf(shoot[1]!, shoot[2]!)).toMatchObject({
      helped: 'worse',
      say: 'A power 1/4 → 1/32: face level −3.4 EV, worse',
    });
  });

  it('are none where nothing was changed', () => {
    expect(lessonOf(shoot[2]!, shoot[3]!)).toBeNull();
  });

  it('put the change that helped most first', () => {
    expect(lessonsOf(shoot).map(lesson => lesson.attempt)).toEqual([2, 3]);
    expect(lessonsOf(shoot.toReversed().map((each, index) => ({...each, attempt: index + 1})))).toHaveLength(2);
  });

  it('do not blame one light for another, nor the rig for the trail', () => {
    const before = attempt(1, withSpill('A', -7));
    const after = attempt(2, {...withTrail({coverage: 0.5}), spill: withSpill('A', -4).spill}, ['B moved 1.2 → 0.9 m']);
    expect(lessonOf(before, after)).toMatchObject({helped: 'same', moves: []});
    expect(lessonOf(before, after)!.say).toBe('B moved 1.2 → 0.9 m: nothing measured moved');
  });

  it('put a change of the exposure down to every light', () => {
    const after = attempt(2, withSpill('B', -4), ['sensitivity ISO 100 → ISO 400']);
    expect(lessonOf(attempt(1), after)!.moves.map(move => move.id)).toEqual(['spill B']);
  });

  it('put a change of the painting light down to the trail', () => {
    const after = attempt(2, withTrail({clippedFraction: 0.5}), ['painting light +1.5 EV → +3.0 EV']);
    expect(lessonOf(attempt(1), after)!.say).toContain('trail clipped +45 %, worse');
  });
});

describe('an attempt in its shoot', () => {
  it('is summed up in a few words', () => {
    const summary = (measurement = goodMeasurement): string => attemptSummary(checksFor(inputOf(measurement)));
    expect(summary()).toBe('all well');
    expect(summary(withTrail({headGap: 1.1}))).toBe('watch head gap');
    expect(summary({...withSpill('B', -4), lights: withLight('A', false, null).lights})).toBe(
      'fails in flash A, spill B',
    );
    expect(attemptSummary([])).toBe('nothing could be checked');
  });
});
