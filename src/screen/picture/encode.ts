import type {Picture} from '../../frame/picture.js';
import type {Palette} from '../palette.js';
import type {TerminalAbility} from '../terminal/talk.js';
import {directPicture} from './direct.js';
import {halfBlocks, type Label} from './half-blocks.js';
import {sixelPicture} from './sixel.js';
import {nightPicture} from './tone.js';

/** A picture ready for the terminal. */
export type Encoded = {columns: number; height: number; rows: string[]; sharp: {draw: string; erase: string} | null};

/** Longest edge that is sent as pixels: more is not seen in a terminal and takes time on the way. */
const MOST_PIXELS = 1200;

/** Whether pixels can be sent: with no or few colours the picture follows the rest and stays text. */
const sendsPixels = (palette: Palette, ability: TerminalAbility): boolean =>
  ability.sharp !== 'none' && ability.cell !== null && palette.depth === 'all';

/** How many pixels a picture may have that fills a box of cells. */
export const pixelsFor = (
  columns: number,
  rows: number,
  palette: Palette,
  ability: TerminalAbility,
): {width: number; height: number} => {
  if (!sendsPixels(palette, ability)) return {width: columns, height: 2 * rows};
  const {width, height} = ability.cell!;
  const scale = Math.min(1, MOST_PIXELS / (columns * width), MOST_PIXELS / (rows * height));
  return {width: Math.floor(columns * width * scale), height: Math.floor(rows * height * scale)};
};

/** The picture in the terminal's best form, in the palette's colours. */
export const encodePicture = (
  picture: Picture,
  palette: Palette,
  ability: TerminalAbility,
  box: {columns: number; rows: number},
  labels: Label[],
): Encoded => {
  const red = palette.name === 'night' && palette.depth !== 'none';
  const toned = red ? nightPicture(picture) : picture;
  if (!sendsPixels(palette, ability)) {
    const rows = halfBlocks(toned, palette.depth, red, labels);
    return {columns: picture.width, height: rows.length, rows, sharp: null};
  }
  const asked = pixelsFor(box.columns, box.rows, palette, ability);
  const columns = Math.max(1, Math.min(box.columns, Math.round((picture.width / asked.width) * box.columns)));
  const height = Math.max(1, Math.min(box.rows, Math.round((picture.height / asked.height) * box.rows)));
  const sharp = ability.sharp === 'direct' ? directPicture(toned, columns, height) : sixelPicture(toned, red);
  return {columns, height, rows: [], sharp};
};
