import sharp, {type OverlayOptions} from 'sharp';
import type {Reading} from '../../shared/reading.js';
import {printLevel, printNumber, printPercent, printSigned, shortText} from '../light/words.js';
import type {Attempt, Shoot} from '../shoot/state.js';
import {settingsLine, verdictLine} from './attempt-words.js';
import {type Markup, markup} from './markup.js';
import {pictureWord, type SmallPicture} from './small-picture.js';

const WIDTH = 1600;
const GAP = 10;
const HEADER = 50;
const LABEL = 112;
/** JPEG can be no higher. */
const HIGHEST = 65_500;

/** How the sheet is divided: more columns for more attempts, so that it stays one picture. */
export const contactGrid = (attempts: number): {columns: number; cell: number; frame: number; rows: number} => {
  for (let columns = 4; ; columns++) {
    const cell = Math.floor((WIDTH - GAP) / columns) - GAP;
    const frame = Math.round((cell * 2) / 3);
    const rows = Math.ceil(attempts / columns);
    const isEnough = columns >= Math.min(10, Math.sqrt(attempts)) && HEADER + rows * (frame + LABEL + GAP) <= HIGHEST;
    if (isEnough) return {columns, cell, frame, rows};
  }
};

/** All attempts in order as one JPEG: number, mark, settings, verdict, changes and readings under each picture. */
export const contactPicture = async (
  shoot: Shoot,
  pictures: ReadonlyMap<number, SmallPicture | null>,
): Promise<Buffer> => {
  const {columns, cell, frame, rows} = contactGrid(shoot.attempts.length);
  const placed = shoot.attempts.map((attempt, index) => ({
    attempt,
    left: GAP + (index % columns) * (cell + GAP),
    top: HEADER + Math.floor(index / columns) * (frame + LABEL + GAP),
  }));
  const layers = await Promise.all(
    placed.map(async ({attempt, left, top}): Promise<OverlayOptions[]> => {
      const words = {input: svg(cell, LABEL, label(attempt, cell)), left, top: top + frame};
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
  const height = HEADER + Math.max(1, rows) * (frame + LABEL + GAP);
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

const label = (attempt: Attempt, cell: number): Markup => {
  const letters = Math.floor(cell / 7);
  const mark = attempt.mark ? `  ${attempt.mark}` : '';
  return markup`<text x="0" y="19" font-size="16" font-weight="bold" fill="#fff">${attempt.number}${mark}</text>
<text x="0" y="37" font-size="13" fill="#bbb">${shortText(settingsLine(attempt.exposure), letters)}</text>
<text x="0" y="54" font-size="13" fill="#ddd">${shortText(verdictLine(attempt), letters)}</text>
<text x="0" y="71" font-size="13" fill="#bbb">${shortText(attempt.changes.join('; '), letters)}</text>
${attempt.reading && readingLines(attempt.reading).map((line, index) => markup`<text x="0" y="${88 + index * 17}" font-size="13" fill="#999">${shortText(line, letters)}</text>`)}`;
};

/** The light, and the trail, each in one line of numbers; the page beside it says more. */
const readingLines = ({lights, face, ambient, trail}: Reading): string[] => [
  [
    ...lights.map(({id, ev}) => `${id} ${ev === null ? 'did not fire' : printSigned(ev)}`),
    ...(face.levelEv === null ? [] : [`face ${printLevel(face.levelEv)}`]),
    ...(ambient.levelEv === null ? [] : [`room ${printLevel(ambient.levelEv)}`]),
  ].join(', '),
  trail
    ? [
        `coverage ${printPercent(trail.coverage)}`,
        ...(trail.headGap === null ? [] : [`head gap ${printNumber(trail.headGap, 1)}`]),
        `over the face ${printNumber(trail.crossing * 100, 1)} %`,
      ].join(', ')
    : 'no trail',
];

/** Frames are black to their edges: a line shows where they end, a heavy one which are kept. */
const border = ({mark}: Attempt, width: number, height: number): Markup => {
  const line = mark === 'keep' ? 5 : 1;
  return markup`<rect x="${line / 2}" y="${line / 2}" width="${width - line}" height="${height - line}" fill="none" stroke="${mark === 'keep' ? '#fff' : '#444'}" stroke-width="${line}"/>`;
};

const centred = (text: string, width: number, height: number): Markup =>
  markup`<rect width="${width}" height="${height}" fill="#181818"/><text x="${width / 2}" y="${height / 2}" text-anchor="middle" font-size="14" fill="#888">${text}</text>`;
