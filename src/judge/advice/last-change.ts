import type {Reading} from '../../../shared/reading.js';
import {lessonOf} from '../compare.js';
import type {Candidate, Ground} from './candidate.js';

/** What the last change did: taken back where it made things worse, kept where it helped. */
export const lastChangeAdvice = ({input, checks}: Ground): Candidate[] => {
  const before = input.earlier.at(-1);
  if (!before) return [];
  const reading: Reading = {...input.measurement, checks, advice: []};
  const lesson = lessonOf(before, {attempt: before.attempt + 1, reading, changes: input.changes});
  if (!lesson || lesson.helped === 'same') return [];
  if (lesson.helped === 'better') return [{do: 'keep the last change', because: lesson.say, worth: 1}];
  const failsNow = lesson.moves.some(
    move => move.helped === 'worse' && checks.find(check => check.id === move.id)?.state === 'fail',
  );
  return [{do: 'take the last change back', because: lesson.say, worth: failsNow ? 134 : 60}];
};
