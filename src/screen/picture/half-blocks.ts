import type {Picture} from '../../frame/picture.js';
import type {Depth} from '../terminal/depth.js';
import {lumaOf} from './tone.js';

/** A letter that stands on the picture; cells counted from 0. */
export type Label = {column: number; row: number; text: string};

const CSI = '\u001b[';
const shades = ' ░▒▓█';

/** Nearest of the 256-colour table: the 6×6×6 cube or the 24 greys. */
export const nearestOf256 = (red: number, green: number, blue: number): number => {
  const step = (value: number): number => (value < 48 ? 0 : value < 115 ? 1 : Math.floor((value - 35) / 40));
  const level = (index: number): number => (index === 0 ? 0 : 55 + 40 * index);
  const [r, g, b] = [step(red), step(green), step(blue)];
  const grey = Math.max(0, Math.min(23, Math.round(((red + green + blue) / 3 - 8) / 10)));
  const greyLevel = 8 + 10 * grey;
  const far = (x: number, y: number, z: number): number => (x - red) ** 2 + (y - green) ** 2 + (z - blue) ** 2;
  const cubeIsNearer = far(level(r), level(g), level(b)) <= far(greyLevel, greyLevel, greyLevel);
  return cubeIsNearer ? 16 + 36 * r + 6 * g + b : 232 + grey;
};

const black = (depth: Depth): string => (depth === 'all' ? '2;0;0;0' : '5;16');

const colourCode = (picture: Picture, x: number, y: number, depth: Depth): string => {
  if (y >= picture.height) return black(depth);
  const offset = 3 * (y * picture.width + x);
  const [red, green, blue] = [picture.rgb[offset]!, picture.rgb[offset + 1]!, picture.rgb[offset + 2]!];
  return depth === 'all' ? `2;${red};${green};${blue}` : `5;${nearestOf256(red, green, blue)}`;
};

/** Ink of a letter on dark ground: white by day, red at night. */
const letterInk = (depth: Depth, night: boolean): string => {
  if (depth === 'all') return night ? '2;205;0;0' : '2;255;255;255';
  return night ? '5;160' : '5;231';
};

const colouredRow = (picture: Picture, row: number, depth: Depth, night: boolean, labels: Label[]): string => {
  let out = '';
  let upper = '';
  let lower = '';
  for (let x = 0; x < picture.width; x++) {
    const nextUpper = colourCode(picture, x, 2 * row, depth);
    const nextLower = colourCode(picture, x, 2 * row + 1, depth);
    const label = labels.find(candidate => candidate.column === x);
    if (label) {
      const isBright = lumaOf(picture.rgb, 3 * (2 * row * picture.width + x)) > 110;
      const [ink, ground] = isBright ? [black(depth), nextUpper] : [letterInk(depth, night), black(depth)];
      out += `${CSI}0;1;38;${ink};48;${ground}m${label.text}${CSI}0m`;
      upper = '';
      lower = '';
      continue;
    }
    const changes: string[] = [];
    if (nextUpper !== upper) changes.push(`38;${nextUpper}`);
    if (nextLower !== lower) changes.push(`48;${nextLower}`);
    out += changes.length > 0 ? `${CSI}${changes.join(';')}m▀` : '▀';
    upper = nextUpper;
    lower = nextLower;
  }
  return `${CSI}0m${out}${CSI}0m`;
};

const shadedRow = (picture: Picture, row: number, depth: Depth, red: boolean, labels: Label[]): string => {
  let out = '';
  for (let x = 0; x < picture.width; x++) {
    const label = labels.find(candidate => candidate.column === x);
    if (label) {
      out += label.text;
      continue;
    }
    const upper = lumaOf(picture.rgb, 3 * (2 * row * picture.width + x));
    const below = 2 * row + 1 < picture.height ? lumaOf(picture.rgb, 3 * ((2 * row + 1) * picture.width + x)) : upper;
    out += shades[Math.min(4, Math.floor((upper + below) / 2 / 51.1))]!;
  }
  if (depth === 'none') return out;
  return `${CSI}0;${red ? 31 : 37};40m${out}${CSI}0m`;
};

/**
 * A picture as text: one cell is two pixels, one over the other. Without enough colours it becomes shades.
 * @param picture as wide in pixels as it shall be in cells, twice as high
 * @param night whether shades are drawn in red
 * @returns one text a row of cells
 */
export const halfBlocks = (picture: Picture, depth: Depth, night: boolean, labels: Label[] = []): string[] => {
  const rows: string[] = [];
  for (let row = 0; row < Math.ceil(picture.height / 2); row++) {
    const here = labels.filter(label => label.row === row);
    rows.push(
      depth === 'all' || depth === 'many'
        ? colouredRow(picture, row, depth, night, here)
        : shadedRow(picture, row, depth, night, here),
    );
  }
  return rows;
};
