import type {Check, Reading} from '../../shared/reading.js';
import {printChange, printNumber} from '../light/words.js';
import type {Earlier} from './contract.js';
import {worst} from './limits.js';

export type Helped = 'better' | 'worse' | 'same';

/** How one check moved between two attempts. */
export type Move = {id: string; from: number; to: number; helped: Helped; say: string};

type Sense = {
  /** Whether less, more, or neither of both is better by itself; "state" goes by ok, watch and fail alone. */
  good: 'less' | 'more' | 'state';
  /** Smallest change that counts: smaller ones are within what measuring and a person's hand repeat. */
  step: number;
  print(change: number): string;
};

const evs = (good: Sense['good'], step = 0.3): Sense => ({good, step, print: change => printChange(change)});
const signed = (value: number, digits: number): string => `${value > 0 ? '+' : ''}${printNumber(value, digits)}`;
const percents = (good: Sense['good'], step: number, digits = 0): Sense => ({
  good,
  step,
  print: change => `${signed(change * 100, digits)} %`,
});
const heads = (good: Sense['good']): Sense => ({good, step: 0.1, print: change => `${signed(change, 1)} heads`});

const senses: Record<string, Sense> = {
  spill: evs('less'),
  flash: evs('state'),
  room: evs('less', 0.5),
  'face level': evs('state'),
  'face ratio': evs('state'),
  'face clipped': percents('less', 0.005, 1),
  'face clear': percents('less', 0.004, 1),
  sharpness: percents('more', 0.1),
  shift: percents('less', 0.01, 1),
  coverage: percents('more', 0.03),
  'head gap': heads('state'),
  offset: heads('less'),
  'trail clipped': percents('less', 0.05),
  'trail even': evs('less'),
};

/** The sense of a check; "spill B" and "flash A" go by their first word. */
const senseOf = (id: string): Sense | undefined => senses[id] ?? senses[id.split(' ')[0]!];

const rank = {ok: 0, watch: 1, fail: 2} as const;

const helpedBy = (before: Check, now: Check, sense: Sense, change: number): Helped => {
  const states = rank[now.state] - rank[before.state];
  if (states !== 0) return states < 0 ? 'better' : 'worse';
  if (sense.good === 'state') return 'same';
  return change < 0 === (sense.good === 'less') ? 'better' : 'worse';
};

/** The checks that both attempts measured and that moved by more than chance, in the order of the newer one. */
export const movesBetween = (before: readonly Check[], now: readonly Check[]): Move[] =>
  now.flatMap(check => {
    const earlier = before.find(each => each.id === check.id);
    const sense = senseOf(check.id);
    if (!earlier || !sense || earlier.value === null || check.value === null) return [];
    const change = check.value - earlier.value;
    if (Math.abs(change) < sense.step) return [];
    const helped = helpedBy(earlier, check, sense, change);
    const word = helped === 'same' ? '' : `, ${helped}`;
    return [
      {id: check.id, from: earlier.value, to: check.value, helped, say: `${check.id} ${sense.print(change)}${word}`},
    ];
  });

/** Weight of a check in an attempt's score; what spoils the picture for good counts most. */
const weightOf = (id: string): number => {
  if (id.startsWith('flash ')) return 3;
  if (id === 'face clear' || id === 'doubled' || id === 'coverage') return 3;
  if (id.startsWith('spill ') || id === 'room' || id === 'head gap' || id === 'face level') return 2;
  return 1;
};

const worthOfState = {ok: 1, watch: 0.6, fail: 0} as const;

/** How far a value lies from its limit, squeezed to 0..1: only ranks attempts whose states are alike. */
const ease = ({value, limit, id}: Check): number => {
  const sense = senseOf(id);
  if (value === null || limit === null || !sense || sense.good === 'state') return 0.5;
  const margin = ((limit - value) * (sense.good === 'less' ? 1 : -1)) / (sense.step * 10);
  return 0.5 + Math.atan(margin) / Math.PI;
};

/**
 * Score of an attempt for "best so far", 0 to 100. An attempt in which nothing failed has 50 or more and so stands
 * before every one in which something did; what is only to be watched counts for part, and a tenth ranks equals by how
 * far they keep from their limits. 0 for a reading without checks.
 */
export const scoreOf = (reading: Pick<Reading, 'checks'>): number => {
  const total = reading.checks.reduce((sum, check) => sum + weightOf(check.id), 0);
  if (total === 0) return 0;
  const part = (value: (check: Check) => number): number =>
    reading.checks.reduce((sum, check) => sum + weightOf(check.id) * value(check), 0) / total;
  const quality = 0.9 * part(check => worthOfState[check.state]) + 0.1 * part(ease);
  const nothingFailed = reading.checks.every(check => check.state !== 'fail');
  return (nothingFailed ? 50 : 0) + 50 * quality;
};

/** The attempt with the highest score, the later one of equals; null for none. */
export const bestOf = (attempts: readonly Earlier[]): Earlier | null =>
  attempts.reduce<Earlier | null>(
    (best, each) => (best === null || scoreOf(each.reading) >= scoreOf(best.reading) ? each : best),
    null,
  );

const lightChecks = /^(spill |flash |face (level|clipped|ratio)$|room$|trail clipped$)/;

/** What a change, by its first words, can have moved. Whatever isn't named here is taken to concern all light. */
const concerned: [change: RegExp, checks: RegExp][] = [
  [/^(painting light)/, /^trail /],
  [/^(cue|countdown)/, /^(sharpness|doubled|coverage)$/],
  [/^limit/, /^$/],
  [/^(left wall|right wall|mark to back wall)/, /^spill /],
];

/**
 * Whether a check can have moved because of this change. The trail is painted anew every time, so a change of the rig
 * is not blamed for it, and a change of one light is not blamed for another's reading.
 */
const concerns = (change: string, id: string): boolean => {
  const light = /^([A-Z])\b/.exec(change)?.[1];
  if (light) return id === `spill ${light}` || id === `flash ${light}` || /^face (level|clipped|ratio)$/.test(id);
  return (concerned.find(([words]) => words.test(change))?.[1] ?? lightChecks).test(id);
};

/** What the changes between two attempts did. */
export type Lesson = {
  attempt: number;
  changes: string[];
  /** Checks that the changes can have moved. */
  moves: Move[];
  helped: Helped;
  /** "B moved 1.2 → 0.9 m: spill B −1.7 EV, better". */
  say: string;
};

/** What the changes before this attempt did, against the attempt before; null when nothing was changed. */
export const lessonOf = (before: Earlier, now: Earlier): Lesson | null => {
  if (now.changes.length === 0) return null;
  const moves = movesBetween(before.reading.checks, now.reading.checks).filter(move =>
    now.changes.some(change => concerns(change, move.id)),
  );
  const worse = moves.filter(move => move.helped === 'worse').length;
  const better = moves.filter(move => move.helped === 'better').length;
  const helped: Helped = better > worse ? 'better' : worse > better ? 'worse' : 'same';
  const effects = moves.length === 0 ? 'nothing measured moved' : moves.map(move => move.say).join('; ');
  return {attempt: now.attempt, changes: now.changes, moves, helped, say: `${now.changes.join(', ')}: ${effects}`};
};

/** Every change of a shoot with what it did, the most helpful first. */
export const lessonsOf = (attempts: readonly Earlier[]): Lesson[] =>
  attempts
    .slice(1)
    .flatMap((now, index) => lessonOf(attempts[index]!, now) ?? [])
    .sort((a, b) => gain(b) - gain(a));

const gain = (lesson: Lesson): number =>
  lesson.moves.reduce((sum, move) => sum + (move.helped === 'better' ? 1 : move.helped === 'worse' ? -1 : 0), 0);

/** A verdict in a few words: "all well", "watch head gap", "fails in spill B, flash A". */
export const attemptSummary = (checks: readonly Check[]): string => {
  if (checks.length === 0) return 'nothing could be checked';
  const state = worst(...checks.map(check => check.state));
  if (state === 'ok') return 'all well';
  const ids = checks.filter(check => check.state === state).map(check => check.id);
  return `${state === 'fail' ? 'fails in' : 'watch'} ${ids.join(', ')}`;
};
