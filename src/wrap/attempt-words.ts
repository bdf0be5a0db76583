import {plainText} from '../../shared/plain-text.js';
import type {Check} from '../../shared/reading.js';
import {attemptSummary} from '../judge/compare.js';
import type {Earlier} from '../judge/contract.js';
import {printSettings} from '../light/words.js';
import type {Attempt} from '../shoot/state.js';

/** The verdict on an attempt in a few words, or why there is none. */
export const verdictLine = (attempt: Attempt): string => {
  if (attempt.reading) return attemptSummary(attempt.reading.checks);
  if (attempt.trouble) return plainText(attempt.trouble);
  return attempt.files.length > 0 ? 'not measured' : 'no frame';
};

/** One check as a line: "head gap: 1.1 heads, was 1.4 (watch)". */
export const checkLine = ({id, say, state}: Check): string =>
  `${plainText(id)}: ${plainText(say)}${state === 'ok' ? '' : ` (${state})`}`;

/** An attempt in sentences, for whoever gets its picture. */
export const attemptDescription = (attempt: Attempt, shootName: string): string =>
  [
    `Attempt ${attempt.number} of ${plainText(shootName)}, ${printSettings(attempt.exposure)}.`,
    ...(attempt.changes.length > 0 ? [`Changed before it: ${plainText(attempt.changes.join('; '))}.`] : []),
    ...(attempt.reading?.checks.map(checkLine) ?? [`Verdict: ${verdictLine(attempt)}.`]),
    ...attempt.notes.map(note => `Note: ${plainText(note)}`),
  ].join('\n');

/** The measured attempts as the judge's comparisons want them, oldest first. */
export const measuredAttempts = (attempts: readonly Attempt[]): Earlier[] =>
  attempts.flatMap(attempt =>
    attempt.reading ? [{attempt: attempt.number, reading: attempt.reading, changes: attempt.changes}] : [],
  );
