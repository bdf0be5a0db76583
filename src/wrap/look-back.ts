import {bestOf, type Lesson, lessonsOf} from '../judge/compare.js';
import type {Shoot} from '../shoot/state.js';
import {measuredAttempts, verdictLine} from './attempt-words.js';
import {type Markup, markup} from './markup.js';
import {printPage} from './page.js';
import {drawGraph, readingGraphs} from './reading-graph.js';

/** What the changes of a shoot did: those that helped, the most helpful first, and those that harmed. */
export type Learned = {helped: Lesson[]; harmed: Lesson[]};

/** @param most how many of each are told */
export const whatWasLearned = (shoot: Shoot, most: number): Learned => {
  const lessons = lessonsOf(measuredAttempts(shoot.attempts));
  return {
    helped: lessons.filter(({helped}) => helped === 'better').slice(0, most),
    harmed: lessons
      .filter(({helped}) => helped === 'worse')
      .reverse()
      .slice(0, most),
  };
};

/** The shoot in a few sentences. */
export const summariseShoot = (shoot: Shoot): string[] => {
  const measured = measuredAttempts(shoot.attempts);
  const best = bestOf(measured);
  const bestAttempt = shoot.attempts.find(({number}) => number === best?.attempt);
  const count = (mark: string): number => shoot.attempts.filter(attempt => attempt.mark === mark).length;
  const {helped, harmed} = whatWasLearned(shoot, 1);
  return [
    `${counted(shoot.attempts.length, 'attempt')}, ${measured.length} measured, ${count('keep')} kept, ${count('maybe')} maybe, ${count('drop')} dropped.`,
    ...(bestAttempt ? [`The best by its readings is attempt ${bestAttempt.number}: ${verdictLine(bestAttempt)}.`] : []),
    ...(helped[0] ? [`What helped most, before attempt ${helped[0].attempt}: ${helped[0].say}.`] : []),
    ...(harmed[0] ? [`What harmed most, before attempt ${harmed[0].attempt}: ${harmed[0].say}.`] : []),
  ];
};

const counted = (count: number, word: string): string => `${count} ${word}${count === 1 ? '' : 's'}`;

/** Which changes moved which readings, in words and as small graphs. */
export const lookBackPage = (shoot: Shoot): string => {
  const {helped, harmed} = whatWasLearned(shoot, 12);
  const {moved, still} = readingGraphs(shoot.attempts);
  return printPage(
    `${shoot.name}: look back`,
    style,
    markup`<h1>${shoot.name}</h1>
<p class="quiet">Which changes moved which readings.</p>
${summariseShoot(shoot).map(sentence => markup`<p>${sentence}</p>`)}
${lessonList('What helped', helped)}
${lessonList('What harmed', harmed)}
<h2>Readings over the attempts</h2>
<p class="quiet">A dot is ok, a ring is watch, a cross is fail. A tick under the line: something was changed before that attempt.</p>
<div class="graphs">${moved.map(drawGraph)}</div>
${still.length > 0 && markup`<p>The same in every attempt: ${still.join(', ')}.</p>`}
${moved.length + still.length === 0 && markup`<p>Fewer than two attempts were measured.</p>`}`,
  );
};

/** Lessons as a list under a heading, or nothing. */
export const lessonList = (heading: string, lessons: readonly Lesson[]): Markup | null =>
  lessons.length > 0
    ? markup`<h2>${heading}</h2>
<ul>${lessons.map(({attempt, say}) => markup`<li>Attempt ${attempt}. ${say}</li>`)}</ul>`
    : null;

const style = `
.graphs { display: grid; grid-template-columns: repeat(auto-fill, minmax(20rem, 1fr)); gap: 1rem; }
.graphs svg { break-inside: avoid; }
@media print { .graphs { grid-template-columns: repeat(2, 1fr); } }
`;
