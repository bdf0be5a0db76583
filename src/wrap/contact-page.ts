import type {Check} from '../../shared/reading.js';
import {printSettings} from '../light/words.js';
import type {Attempt, Shoot} from '../shoot/state.js';
import {counted} from '../shoot/units.js';
import {verdictLine} from './attempt-words.js';
import {type Markup, markup} from './markup.js';
import {printPage} from './page.js';
import {embedded, pictureWord, type SmallPicture} from './small-picture.js';

/** All attempts in order, each with its picture, as a page that works without a network. */
export const contactPage = (shoot: Shoot, pictures: ReadonlyMap<number, SmallPicture | null>): string =>
  printPage(
    `${shoot.name}: contact sheet`,
    style,
    markup`<h1>${shoot.name}</h1>
<p class="quiet">Contact sheet. ${counted(shoot.attempts.length, 'attempt')}, begun ${shoot.begunAt.slice(0, 10)}.</p>
<ol class="attempts">
${shoot.attempts.map(attempt => card(attempt, pictures.get(attempt.number) ?? null))}
</ol>`,
  );

const card = (
  attempt: Attempt,
  picture: SmallPicture | null,
): Markup => markup`<li class="${attempt.mark ?? 'unmarked'}">
<div class="frame">${picture ? embedded(picture, `attempt ${attempt.number}`) : markup`<p class="none">${pictureWord(attempt)}</p>`}</div>
<p class="head"><b>${attempt.number}</b> ${attempt.mark && markup`<span class="mark">${attempt.mark}</span>`} <span class="quiet">${printSettings(attempt.exposure)}</span></p>
<p><b>${verdictLine(attempt)}</b></p>
${attempt.changes.length > 0 && markup`<p>Changed: ${attempt.changes.join('; ')}</p>`}
${attempt.reading && markup`<table>${attempt.reading.checks.map(checkRow)}</table>`}
${attempt.notes.map(note => markup`<p class="note">${note}</p>`)}
</li>
`;

const checkRow = ({id, say, state}: Check): Markup =>
  markup`<tr class="${state}"><th>${id}</th><td>${say}</td><td>${state === 'ok' ? null : state}</td></tr>`;

const style = `
.attempts { list-style: none; padding: 0; display: grid; grid-template-columns: repeat(auto-fill, minmax(20rem, 1fr)); gap: 1.5rem 1.25rem; }
.attempts > li { break-inside: avoid; border-top: 2px solid #bbb; padding-top: 0.5rem; }
.attempts > li.keep { border-top: 5px solid #111; }
.frame { background: #111; min-height: 6rem; display: flex; align-items: center; justify-content: center; }
.frame img { display: block; }
.none { color: #bbb; }
.head { margin-top: 0.4rem; }
.mark { border: 1px solid #111; padding: 0 0.4rem; }
table { font-size: 0.8rem; line-height: 1.25; }
th { white-space: nowrap; }
.fail td:last-child, .watch td:last-child { font-weight: bold; }
.note { font-style: italic; }
@page { size: A4; margin: 10mm; }
@media print {
  .attempts { grid-template-columns: repeat(3, 1fr); gap: 4mm; font-size: 8pt; line-height: 1.3; }
  .head { margin-top: 1mm; }
  .frame { min-height: 0; }
  table { font-size: 6.5pt; line-height: 1.2; }
  th, td { padding: 0 0.3rem 0 0; }
  p { margin: 0.5mm 0; }
}
`;
