import {deflateSync} from 'node:zlib';
import type {Picture} from '../../frame/picture.js';

/** Name of our picture in the terminal's memory; there is never more than one. */
const ID = 711;
/** Longest piece of data in one sequence, as the protocol sets it. */
const PIECE = 4096;

const sequence = (control: string, data = ''): string => `\u001b_G${control}${data === '' ? '' : `;${data}`}\u001b\\`;

/**
 * A picture by the graphics protocol that sends pixels in APC sequences: RGB, zlib, base64, in pieces.
 * @param columns width in cells
 * @param rows height in cells
 */
export const directPicture = (picture: Picture, columns: number, rows: number): {draw: string; erase: string} => {
  const data = deflateSync(picture.rgb, {level: 1}).toString('base64');
  const first = `a=T,f=24,o=z,s=${picture.width},v=${picture.height},i=${ID},p=1,c=${columns},r=${rows},C=1,q=2`;
  const pieces: string[] = [];
  for (let from = 0; from < data.length; from += PIECE) {
    const more = from + PIECE < data.length ? 1 : 0;
    pieces.push(sequence(`${from === 0 ? `${first},` : ''}m=${more}`, data.slice(from, from + PIECE)));
  }
  return {draw: pieces.join(''), erase: sequence(`a=d,d=I,i=${ID},q=2`)};
};
