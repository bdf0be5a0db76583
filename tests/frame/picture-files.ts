import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp, {type Sharp} from 'sharp';
import {afterAll, expect} from 'vitest';
import type {CodedImage} from '../../src/frame/decode/coded.js';
import {decodeFrame} from '../../src/frame/decode/decode.js';
import {FrameFault} from '../../src/frame/fault.js';

/* Picture files put into a folder of their own, and what is seen in them when they are decoded. */

export const folder = mkdtempSync(path.join(tmpdir(), 'darkset-decode-'));
afterAll(() => rmSync(folder, {recursive: true}));

let written = 0;
export const put = (name: string, bytes: Buffer | string): string => {
  written += 1;
  const place = mkdtempSync(path.join(folder, `${written}-`));
  const file = path.join(place, name);
  writeFileSync(file, bytes);
  return file;
};
export const decoded = async (name: string, bytes: Buffer | string | Promise<Buffer>) =>
  decodeFrame(put(name, await bytes));

export const faultOf = async (name: string, bytes: Buffer | string | Promise<Buffer>): Promise<FrameFault> => {
  const fault: unknown = await decoded(name, bytes).then(
    () => null,
    error => error,
  );
  expect(fault).toBeInstanceOf(FrameFault);
  const {message} = fault as FrameFault;
  // One sentence that begins with the file's name.
  expect(message.startsWith(`${name} `)).toBe(true);
  expect(message.slice(name.length)).toMatch(/^ [^\n.]+\.$/);
  return fault as FrameFault;
};

export type Colour = [number, number, number];
export const flat = (width: number, height: number, [r, g, b]: Colour): Sharp =>
  sharp({create: {width, height, channels: 3, background: {r, g, b}}});

/** A picture of smooth colours with some detail. */
export const smooth = (width: number, height: number): Sharp => {
  const rgb = Buffer.alloc(width * height * 3);
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      rgb[at++] = Math.round((255 * x) / width);
      rgb[at++] = Math.round((255 * y) / height);
      rgb[at++] = Math.round(127 + 100 * Math.sin(x / 5) * Math.cos(y / 7));
    }
  }
  return sharp(rgb, {raw: {width, height, channels: 3}});
};

/** The mean of a part of a picture, given as fractions. */
export const meanAt = ({width, height, rgb}: CodedImage, x: number, y: number, half = 0.05): Colour => {
  const sums: Colour = [0, 0, 0];
  let count = 0;
  for (let row = Math.floor((y - half) * height); row < (y + half) * height; row++) {
    for (let column = Math.floor((x - half) * width); column < (x + half) * width; column++) {
      count += 1;
      for (let c = 0; c < 3; c++) sums[c]! += rgb[(row * width + column) * 3 + c]!;
    }
  }
  return sums.map(sum => sum / count) as Colour;
};
export const middle = (image: CodedImage): Colour => meanAt(image, 0.5, 0.5);
