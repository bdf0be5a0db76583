import {budgets, type FrameScore} from './score.js';

/** p from 0 to 1 of a list of numbers; NaN of nothing. */
export const percentile = (values: readonly number[], p: number): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(p * sorted.length) - 1))] ?? Number.NaN;
};

const numbers = (values: readonly (number | null)[]): number[] => values.filter(value => value !== null);
const count = <T>(values: readonly T[], wanted: T): number => values.filter(value => value === wanted).length;

/** Everything the budgets speak of, over a set of frames. */
export const summarise = (scores: readonly FrameScore[]) => {
  const power = scores.flatMap(score => score.power);
  const crossing = scores.map(score => score.crossing);
  const sides = scores.map(score => score.side);
  const leaks = scores.filter(score => score.frame.ambient.side !== null);
  const withoutTrail = scores.filter(score => score.frame.presence === 'none');
  const of = (pick: (score: FrameScore) => number | null) => {
    const values = numbers(scores.map(pick));
    return {n: values.length, p50: percentile(values, 0.5), p90: percentile(values, 0.9), max: percentile(values, 1)};
  };
  return {
    rooms: new Set(scores.map(score => score.room)).size,
    frames: scores.length,
    fired: {
      right: scores.reduce((sum, score) => sum + score.fired.right, 0),
      wrong: scores.reduce((sum, score) => sum + score.fired.wrong, 0),
    },
    power: {n: power.length, p50: percentile(power, 0.5), p90: percentile(power, 0.9), max: percentile(power, 1)},
    crossing: {
      right: count(crossing, 'right'),
      missed: count(crossing, 'missed'),
      ofCrossing: scores.filter(score => score.frame.crossing === 'crossing').length,
      false: count(crossing, 'false'),
    },
    trail: {
      missed: scores.filter(score => score.trail === 'missed').length,
      false: scores.filter(score => score.trail === 'false').length,
      framesWithout: withoutTrail.length,
    },
    coverage: of(score => score.coverage),
    headGap: of(score => score.headGap),
    headGapAsSet: of(score => score.headGapAsSet),
    offset: of(score => score.offset),
    side: {
      right: count(sides, 'right'),
      wrong: count(sides, 'wrong'),
      wrongOfLeaks: count(
        leaks.map(score => score.side),
        'wrong',
      ),
      leaks: leaks.length,
    },
    riseOfLeaks: of(score => (score.frame.ambient.side === null ? null : score.rise)),
    riseWithoutLeak: of(score => (score.frame.ambient.side === null ? score.rise : null)),
    riseSeenOfLeaks: of(score => (score.frame.ambient.side === null ? null : score.riseSeen)),
    spill: {
      n: scores.flatMap(score => score.spill).length,
      p50: percentile(
        scores.flatMap(score => score.spill),
        0.5,
      ),
      p90: percentile(
        scores.flatMap(score => score.spill),
        0.9,
      ),
      max: percentile(
        scores.flatMap(score => score.spill),
        1,
      ),
    },
    leftRight: of(score => score.leftRight),
    shift: of(score => score.shift),
    milliseconds: of(score => score.milliseconds),
  };
};

export type Summary = ReturnType<typeof summarise>;

type Spread = {n: number; p50: number; p90: number; max: number};

/** Which budgets a summary breaks, each a sentence; empty when all hold. */
export const broken = (summary: Summary): string[] => {
  const over = (name: string, spread: Spread, limit: number, unit: string): string[] =>
    spread.n > 0 && !(spread.p90 <= limit) ? [`${name}: p90 ${spread.p90.toFixed(3)} ${unit}, allowed ${limit}`] : [];
  const none = (name: string, times: number): string[] => (times > 0 ? [`${name}: ${times} times, allowed none`] : []);
  return [
    ...none('fired or not told wrong', summary.fired.wrong),
    ...over('power', summary.power, budgets.powerEv, 'EV'),
    ...none('crossing missed', summary.crossing.missed),
    ...none('crossing falsely seen', summary.crossing.false),
    ...none('trail claimed where none is', summary.trail.false),
    ...over('coverage', summary.coverage, budgets.coverage, ''),
    ...over('head gap', summary.headGap, budgets.headGapHeads, 'heads'),
    ...none('leak side wrong', summary.side.wrong),
    ...over('rise of a leak', summary.riseOfLeaks, budgets.riseEv, 'EV'),
  ];
};

/** The table, as lines of text. */
export const table = (summary: Summary): string => {
  const spread = (s: Spread, digits = 3): string =>
    `n ${String(s.n).padStart(4)}   p50 ${s.p50.toFixed(digits)}   p90 ${s.p90.toFixed(digits)}   max ${s.max.toFixed(digits)}`;
  const rows: [string, string, string][] = [
    ['fired or not', `${summary.fired.right} right, ${summary.fired.wrong} wrong`, 'always right'],
    ['power, EV', spread(summary.power), `p90 ≤ ${budgets.powerEv}`],
    [
      'crossing',
      `${summary.crossing.missed} missed of ${summary.crossing.ofCrossing}, ${summary.crossing.false} falsely seen, ${summary.crossing.right} right`,
      'never missed, never false',
    ],
    [
      'trail',
      `${summary.trail.false} claimed in ${summary.trail.framesWithout} frames without, ${summary.trail.missed} missed`,
      'never claimed',
    ],
    ['coverage', spread(summary.coverage), `p90 ≤ ${budgets.coverage}`],
    ['head gap, heads', spread(summary.headGap), `p90 ≤ ${budgets.headGapHeads}`],
    ['  ellipse as set', spread(summary.headGapAsSet), ''],
    ['trail offset, heads', spread(summary.offset), ''],
    [
      'leak side',
      `${summary.side.wrongOfLeaks} wrong of ${summary.side.leaks} leaks; ${summary.side.wrong} wrong of all ${summary.side.right + summary.side.wrong}`,
      'always right',
    ],
    ['rise of leaks, EV', spread(summary.riseOfLeaks), `≤ ${budgets.riseEv}`],
    ['  as JPEG shows', spread(summary.riseSeenOfLeaks), ''],
    ['rise, no leak, EV', spread(summary.riseWithoutLeak), ''],
    ['spill position', spread(summary.spill), ''],
    ['face left/right, EV', spread(summary.leftRight), ''],
    ['head shift, frame', spread(summary.shift, 4), ''],
    ['time, ms', spread(summary.milliseconds, 0), ''],
  ];
  return [
    `${summary.rooms} rooms, ${summary.frames} frames`,
    ...rows.map(([name, value, limit]) => `${name.padEnd(21)} ${value.padEnd(62)} ${limit}`.trimEnd()),
  ].join('\n');
};
