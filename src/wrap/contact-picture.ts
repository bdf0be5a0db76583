import sharp, {type OverlayOptions} from 'sharp';
import type {Reading} from '../../shared/reading.js';
import {printLevel, printNumber, printPercent, printSettings, printSigned, shortText} from '../light/words.js';
import type {Attempt, Shoot} from '../shoot/state.js';
import {verdictLine} from './attempt-words.js';
import {type Markup, markup} from './markup.js';
import {pictureWord, type SmallPicture} from './small-picture.js';

const WIDTH = 1600;
const GAP = 10;
const HEADER = 50;
/** Height of the words under a frame without its readings, and of each line of readings. */
const LABEL = 78;
const LINE = 17;
/** Width of a sign of the words, about. */
const SIGN = 7;
/** JPEG can be no higher. */
const HIGHEST = 65_500;

/** How the sheet is divided: more columns for more attempts, so that it stays one picture. */
export const contactGrid = (attempts: number) => {
  for (let columns = 4; ; columns++) {
    const cell = Math.floor((WIDTH - GAP) / columns) - GAP;
    const frame = Math.round((cell * 2) / 3);
    const rows = Math.ceil(attempts / columns);
    // Narrow cells need more lines for the same numbers.
    const lines = Math.min(6, Math.ceil((LONGEST_READINGS * SIGN) / cell));
    const label = LABEL + lines * LINE;
    const isEnough = columns >= Math.min(10, Math.sqrt(attempts)) && HEADER + rows * (frame + label + GAP) <= HIGHEST;
    if (isEnough) return {columns, cell, frame, rows, label, lines};
  }
};

/** All attempts in order as one JPEG: number, mark, settings, verdict, changes and readings under each picture. */
export const contactPicture = async (
  shoot: Shoot,
  pictures: ReadonlyMap<number, SmallPicture | null>,
): Promise<Buffer> => {
  const grid = contactGrid(shoot.attempts.length);
  const {columns, cell, frame, rows} = grid;
  const placed = shoot.attempts.map((attempt, index) => ({
    attempt,
    left: GAP + (index % columns) * (cell + GAP),
    top: HEADER + Math.floor(index / columns) * (frame + grid.label + GAP),
  }));
  const layers = await Promise.all(
    placed.map(async ({attempt, left, top}): Promise<OverlayOptions[]> => {
      const words = {input: svg(cell, grid.label, label(attempt, cell, grid.lines)), left, top: top + frame};
      const outline = {input: svg(cell, frame, border(attempt, cell, frame)), left, top};
      const picture = pictures.get(attempt.number);
      if (!picture) {
        return [{input: svg(cell, frame, centred(pictureWord(attempt), cell, frame)), left, top}, outline, words];
      }
      const fitted = await sharp(picture.jpeg).resize(cell, frame, {fit: 'inside'}).toBuffer({resolveWithObject: true});
      const {width, height} = fitted.info;
      const middle = {left: left + ((cell - width) >> 1), top: top + ((frame - height) >> 1)};
      return [{input: fitted.data, ...middle}, outline, words];
    }),
  );
  const heading = markup`<text x="0" y="30" font-size="22" fill="#eee">${shortText(shoot.name, 80)}</text>`;
  const height = HEADER + Math.max(1, rows) * (frame + grid.label + GAP);
  return sharp({create: {width: WIDTH, height, channels: 3, background: '#0b0b0b'}})
    .composite([{input: svg(WIDTH - GAP, HEADER, heading), left: GAP, top: 0}, ...layers.flat()])
    .jpeg({quality: 85})
    .toBuffer();
};

const svg = (width: number, height: number, body: Markup): Buffer =>
  Buffer.from(
    markup`<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" font-family="sans-serif">${body}</svg>`
      .text,
  );

const label = (attempt: Attempt, cell: number, lines: number): Markup => {
  const letters = Math.floor(cell / SIGN);
  const mark = attempt.mark ? `  ${attempt.mark}` : '';
  return markup`<text x="0" y="19" font-size="16" font-weight="bold" fill="#fff">${attempt.number}${mark}</text>
<text x="0" y="37" font-size="13" fill="#bbb">${shortText(printSettings(attempt.exposure), letters)}</text>
<text x="0" y="54" font-size="13" fill="#ddd">${shortText(verdictLine(attempt), letters)}</text>
<text x="0" y="71" font-size="13" fill="#bbb">${shortText(attempt.changes.join('; '), letters)}</text>
${
  attempt.reading &&
  filled(readingWords(attempt.reading), letters)
    .slice(0, lines)
    .map(
      (line, index) =>
        markup`<text x="0" y="${88 + index * LINE}" font-size="13" fill="#999">${shortText(line, letters)}</text>`,
    )
}`;
};

/** Signs that the readings of an attempt with two lights take, broken lines included, about. */
const LONGEST_READINGS = 110;

/** What was measured, in numbers; the page beside it says more. */
const readingWords = ({lights, face, ambient, trail}: Reading): string[] => [
  ...lights.map(({id, ev}) => `${id} ${ev === null ? 'did not fire' : printSigned(ev)}`),
  ...(face.levelEv === null ? [] : [`face ${printLevel(face.levelEv)}`]),
  ...(ambient.levelEv === null ? [] : [`room ${printLevel(ambient.levelEv)}`]),
  ...(trail
    ? [
        `coverage ${printPercent(trail.coverage)}`,
        ...(trail.headGap === null ? [] : [`head gap ${printNumber(trail.headGap, 1)}`]),
        `over the face ${printNumber(trail.crossing * 100, 1)} %`,
      ]
    : ['no trail']),
];

/** Words side by side, with commas, in lines of so many signs. */
const filled = (words: readonly string[], letters: number): string[] => {
  const lines: string[] = [];
  for (const word of words) {
    const longer = lines.length > 0 ? `${lines.at(-1)}, ${word}` : word;
    if (lines.length > 0 && longer.length <= letters) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
};

/** Frames are black to their edges: a line shows where they end, a heavy one which are kept. */
const border = ({mark}: Attempt, width: number, height: number): Markup => {
  const line = mark === 'keep' ? 5 : 1;
  return markup`<rect x="${line / 2}" y="${line / 2}" width="${width - line}" height="${height - line}" fill="none" stroke="${mark === 'keep' ? '#fff' : '#444'}" stroke-width="${line}"/>`;
};

const centred = (text: string, width: number, height: number): Markup =>
  markup`<rect width="${width}" height="${height}" fill="#181818"/><text x="${width / 2}" y="${height / 2}" text-anchor="middle" font-size="14" fill="#888">${text}</text>`;
