import type {WorkImage} from './work-image.js';

/** Edge of a square in pixels. */
const SQUARE = 16;

/** The brightest code of any channel in each square of a picture and the eight about it, row by row. */
export type MostAbout = {columns: number; codes: Float32Array};

/** For looking past what is dark all about: any place within a square's edge of a pixel is no brighter than this says. */
export const mostAbout = ({width, height, r, g, b}: WorkImage): MostAbout => {
  const columns = Math.ceil(width / SQUARE);
  const rows = Math.ceil(height / SQUARE);
  const own = new Float32Array(columns * rows);
  for (let y = 0, at = 0; y < height; y++) {
    const row = Math.floor(y / SQUARE) * columns;
    for (let x = 0; x < width; x++, at++) {
      const square = row + Math.floor(x / SQUARE);
      own[square] = Math.max(own[square]!, r[at]!, g[at]!, b[at]!);
    }
  }
  const codes = new Float32Array(own.length);
  for (let row = 0, at = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, at++) {
      for (let y = Math.max(0, row - 1); y <= Math.min(rows - 1, row + 1); y++) {
        for (let x = Math.max(0, column - 1); x <= Math.min(columns - 1, column + 1); x++) {
          codes[at] = Math.max(codes[at]!, own[y * columns + x]!);
        }
      }
    }
  }
  return {columns, codes};
};

/** About a pixel of the picture. */
export const mostAboutAt = ({columns, codes}: MostAbout, x: number, y: number): number =>
  codes[Math.floor(y / SQUARE) * columns + Math.floor(x / SQUARE)]!;
