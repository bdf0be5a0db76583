import {scoreOf} from '../../judge/compare.js';
import type {Attempt, SessionState} from '../../shoot/state.js';
import {markKeys, pictureKeys, viewKey} from './attempt-keys.js';
import {type Binding, bind, type Effect, type Filter, filters, toSession, toUi, type Ui} from './state.js';

const passes = (filter: Filter, attempt: Attempt): boolean => {
  switch (filter) {
    case 'every attempt':
      return true;
    case 'kept':
      return attempt.mark === 'keep';
    case 'kept or maybe':
      return attempt.mark === 'keep' || attempt.mark === 'maybe';
    case 'not dropped':
      return attempt.mark !== 'drop';
  }
};

/** The attempts that Look back lists, oldest first. */
export const listedAttempts = (ui: Ui, state: SessionState): Attempt[] =>
  state.shoot.attempts.filter(attempt => passes(ui.lookBack.filter, attempt));

/** The attempt that is looked at: the chosen one, or the newest of the list. */
export const chosenAttempt = (ui: Ui, state: SessionState): Attempt | null => {
  const attempts = listedAttempts(ui, state);
  return attempts.find(attempt => attempt.number === ui.lookBack.attempt) ?? attempts.at(-1) ?? null;
};

/** How many checks fail and how many are to be watched; null without a reading. */
export const tally = (attempt: Attempt): {fail: number; watch: number; ok: number} | null => {
  if (!attempt.reading) return null;
  const count = (state: string): number => attempt.reading!.checks.filter(check => check.state === state).length;
  return {fail: count('fail'), watch: count('watch'), ok: count('ok')};
};

/** The attempt that the judge scores highest; the newer of equals. */
export const bestAttempt = (attempts: readonly Attempt[]): Attempt | null => {
  let best: Attempt | null = null;
  for (const attempt of attempts) {
    if (attempt.reading && (!best?.reading || scoreOf(attempt.reading) >= scoreOf(best.reading))) best = attempt;
  }
  return best;
};

/** The frame that the chosen one is held against: the best so far, or else the one before. */
export const otherAttempt = (ui: Ui, state: SessionState): Attempt | null => {
  const chosen = chosenAttempt(ui, state);
  if (!chosen) return null;
  const others = state.shoot.attempts.filter(attempt => attempt.number !== chosen.number && attempt.files.length > 0);
  return bestAttempt(others) ?? others.at(-1) ?? null;
};

/** The keys of Look back. */
export const lookBackKeys = (ui: Ui, state: SessionState): Binding[] => {
  const attempts = listedAttempts(ui, state);
  const chosen = chosenAttempt(ui, state);
  const nextFilter = filters[(filters.indexOf(ui.lookBack.filter) + 1) % filters.length]!;
  const only = bind(
    'o',
    `list: ${nextFilter}`,
    [toUi({kind: 'look back', change: {filter: nextFilter, attempt: null}})],
    false,
  );
  if (!chosen) return state.shoot.attempts.length > 0 ? [only] : [];
  const at = attempts.indexOf(chosen);
  const to = (index: number): Effect =>
    toUi({
      kind: 'look back',
      change: {attempt: attempts[Math.max(0, Math.min(attempts.length - 1, index))]!.number},
    });
  const view = (wanted: 'beside' | 'flip'): Effect =>
    toUi({kind: 'look back', change: {view: ui.lookBack.view === wanted ? 'one' : wanted}});
  const other = otherAttempt(ui, state);
  return [
    {keys: ['up', 'left'], shown: '↑', say: 'the attempt before', often: false, effects: [to(at - 1)]},
    {keys: ['down', 'right'], shown: '↓', say: 'the attempt after', often: false, effects: [to(at + 1)]},
    ...(chosen.files.length > 0 ? markKeys(chosen) : []),
    ...(other ? [bind('b', `beside ${other.number}`, [view('beside')], true)] : []),
    ...(other
      ? [
          bind(
            'f',
            ui.lookBack.view === 'flip' ? `back to ${chosen.number}` : `flip to ${other.number}`,
            [view('flip')],
            true,
          ),
        ]
      : []),
    only,
    ...pictureKeys(ui, chosen.reading !== null),
    ...viewKey(state, chosen),
    ...(chosen.files.length > 0
      ? [bind('r', 'measure again', [toSession({kind: 'measure again', attempt: chosen.number})])]
      : []),
  ];
};
