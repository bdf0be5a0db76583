import {bestOf, type Helped, type Lesson, lessonsOf} from '../judge/compare.js';
import type {Shoot} from '../shoot/state.js';
import {counted} from '../shoot/units.js';
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

/** Which changes moved which readings, in words and as small graphs. */
export const lookBackPage = (shoot: Shoot): string => {
  const lessons = lessonsOf(measuredAttempts(shoot.attempts)).sort((one, other) => one.attempt - other.attempt);
  const {moved, still} = readingGraphs(shoot.attempts);
  return printPage(
    `${shoot.name}: look back`,
    style,
    markup`<h1>${shoot.name}</h1>
<p class="quiet">Which changes moved which readings.</p>
${summariseShoot(shoot).map(sentence => markup`<p>${sentence}</p>`)}
${lessons.length > 0 && changeTable(lessons)}
<h2>Readings over the attempts</h2>
<p class="quiet">A dot is ok, a ring is watch, a cross is fail. A tick under the line: something was changed before that attempt.</p>
<div class="graphs">${moved.map(drawGraph)}</div>
${still.length > 0 && markup`<p>Moved by no more than measuring repeats: ${still.join(', ')}.</p>`}
${moved.length + still.length === 0 && markup`<p>Fewer than two attempts were measured.</p>`}`,
  );
};

const changeTable = (lessons: readonly Lesson[]): Markup => markup`<h2>What each change moved</h2>
<table class="changes">
<tr><th>before</th><th>changed</th><th>moved since the attempt before</th><th></th></tr>
${lessons.map(({attempt, changes, moves, helped}) => {
  const effects = moves.length > 0 ? moves.map(({say}) => say).join('; ') : 'nothing that it can have moved';
  return markup`<tr><td>${attempt}</td><td>${changes.join('; ')}</td><td>${effects}</td><td>${verdictOn[helped]}</td></tr>
`;
})}</table>`;

const verdictOn: Record<Helped, Markup | null> = {
  better: markup`<b>helped</b>`,
  worse: markup`<b>harmed</b>`,
  same: null,
};

const style = `
.changes td { border-top: 1px solid #ccc; }
.graphs { display: grid; grid-template-columns: repeat(auto-fill, minmax(20rem, 1fr)); gap: 1rem; }
.graphs svg { break-inside: avoid; }
@media print { .graphs { grid-template-columns: repeat(2, 1fr); } }
`;
