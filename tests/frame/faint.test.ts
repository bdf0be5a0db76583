import {expect, it} from 'vitest';
import {REGION} from '../../src/frame/regions.js';
import {withoutFaint} from '../../src/frame/trail/faint.js';
import type {Candidates} from '../../src/frame/trail/own-light.js';

const WIDTH = 30;
const HEIGHT = 10;

/** The left half is the wall's, the right half the head's. */
const regions = new Uint8Array(WIDTH * HEIGHT).map((_, at) => (at % WIDTH < 15 ? REGION.wall : REGION.head));

/** Candidates on some pixels of a row each, with their own light. */
const candidatesOn = (rows: readonly {y: number; from: number; to: number; light: number}[]): Candidates => {
  const size = WIDTH * HEIGHT;
  const mask = new Uint8Array(size);
  const own = new Float32Array(size);
  for (const {y, from, to, light} of rows) {
    for (let x = from; x < to; x++) {
      mask[y * WIDTH + x] = 2;
      own[y * WIDTH + x] = light;
    }
  }
  return {
    pixels: Int32Array.from([...mask.keys()].filter(at => mask[at] === 2)),
    mask,
    own,
    sure: new Float32Array(size),
    outline: new Uint8Array(size),
    outOfShadow: new Int32Array(size),
    uncovered: new Uint8Array(size),
    lines: null,
    headLight: 0,
    newLight: new Float32Array(size),
  };
};

const FAINT = 0.01;
const BRIGHT = 0.05;
const onHead = {y: 7, from: 20, to: 28};

it('leaves what is faint on the sitter alone out, and keeps it where it came from beside', () => {
  const comesOn = {y: 2, from: 10, to: 25, light: FAINT};
  const kept = withoutFaint(candidatesOn([comesOn, {...onHead, light: FAINT}]), regions, WIDTH, HEIGHT);
  const without = candidatesOn([comesOn]);
  expect([...kept.pixels]).toEqual([...without.pixels]);
  expect([...kept.mask]).toEqual([...without.mask]);
});

it('leaves bright ones as they are, and of a set on the sitter the bright part', () => {
  const bright = candidatesOn([{...onHead, light: BRIGHT}]);
  expect(withoutFaint(bright, regions, WIDTH, HEIGHT)).toBe(bright);
  const partly = candidatesOn([
    {...onHead, light: FAINT},
    {...onHead, to: 24, light: BRIGHT},
  ]);
  const kept = withoutFaint(partly, regions, WIDTH, HEIGHT);
  expect([...kept.pixels].map(at => at % WIDTH)).toEqual([20, 21, 22, 23]);
});
