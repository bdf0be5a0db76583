import {describe, expect, it} from 'vitest';
import {sideOf} from '../../src/frame/room/side.js';
import type {WallBlock} from '../../src/frame/room/wall-samples.js';
import {numbers} from './quick-numbers.js';

/*
 * Light through a door or a window somewhere along one side, behind a sitter who hides the middle and most of the lower
 * wall, through a lens that darkens its corners: then it falls off upwards too, whichever side it comes from.
 */

const SIDES = ['left', 'right', 'top', 'bottom'] as const;

/** Squares of the wall that a sitter of any size leaves to be seen. */
const wallBeside = (any: (low: number, high: number) => number, isWide: boolean): WallBlock[] => {
  const [columns, rows] = isWide ? [36, 24] : [24, 36];
  const [cx, cy, heads] = [any(0.4, 0.6), any(0.3, 0.5), any(0.2, 0.4)];
  const blocks: WallBlock[] = [];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const [x, y] = [(column + 0.5) / columns, (row + 0.5) / rows];
      const across = Math.abs(x - cx) * (columns / rows);
      const down = y - cy;
      const isHead = (across / (0.8 * heads)) ** 2 + (down / heads) ** 2 < 1;
      const isBody = down > 0 && across < (down > 0.7 * heads ? 1.2 : 0.8) * heads;
      if (!isHead && !isBody) blocks.push({x, y, column, row});
    }
  }
  return blocks;
};

describe('the side of a leak', () => {
  it.each(SIDES)('is told right with corners up to a stop darker: %s', side => {
    const random = numbers(SIDES.indexOf(side) + 1);
    const any = (low: number, high: number): number => low + (high - low) * random();
    for (let n = 0; n < 400; n++) {
      const isWide = n % 2 === 0;
      const blocks = wallBeside(any, isWide);
      const [wide, high] = isWide ? [1.5, 1] : [1, 1.5];
      // In the corners; as a lens does that is stopped down.
      const cornerEv = any(0, 1);
      const [reach, middle, width] = [any(0.3, 0.9), any(0.3, 0.7), any(0.6, 1.6)];
      const light = Float64Array.from(blocks, ({x, y}) => {
        const far = {left: x, right: 1 - x, top: y, bottom: 1 - y}[side];
        const along = side === 'left' || side === 'right' ? y : x;
        const falls = n % 4 < 2 ? 1 / (1 + far / reach) ** 2 : Math.exp(-far / reach);
        const corner = (((x - 0.5) * wide) ** 2 + ((y - 0.5) * high) ** 2) / ((wide ** 2 + high ** 2) / 4);
        const noise = 1 + any(-0.025, 0.025);
        return 0.01 * noise * falls * Math.exp(-(((along - middle) / width) ** 2)) * 2 ** (-cornerEv * corner);
      });
      const doubts = light.map(value => 0.05 * value + 1e-5);
      expect(sideOf(blocks, light, doubts), `leak ${n}`).toBe(side);
    }
  });
});

/** A wall of which the sitter hides all that is lower than this. */
const LOWEST = 0.6;

describe('the side of a lamp or a gap beside a sitter who hides all of the lower wall', () => {
  const blocks = Array.from({length: 24 * 36}, (_, at) => {
    const [column, row] = [at % 24, Math.floor(at / 24)];
    return {column, row, x: (column + 0.5) / 24, y: (row + 0.5) / 36};
  });
  const isSeen = ({x, y}: WallBlock): boolean =>
    y < LOWEST && (Math.abs(x - 0.5) > 0.4 || (y < 0.45 && Math.hypot(x - 0.5, 1.5 * (y - 0.4)) > 0.2));
  const wall = blocks.filter(isSeen);
  /** Light of something small at a place, near the wall. */
  const lightFrom = (x: number, y: number): Float64Array =>
    Float64Array.from(wall, block => 0.002 / (0.02 + (block.x - x) ** 2 + (1.5 * (block.y - y)) ** 2));

  it.each([
    {x: -0.15, y: 0.75, side: 'left'},
    {x: -0.1, y: 0.8, side: 'left'},
    {x: 1.15, y: 0.7, side: 'right'},
    {x: 1.1, y: 0.85, side: 'right'},
    {x: 0.5, y: 1.05, side: 'bottom'},
    {x: 0.4, y: 1.2, side: 'bottom'},
    {x: 0.6, y: 1.1, side: 'bottom'},
  ])('is $side where it stands at $x across and $y down', ({x, y, side}) => {
    const light = lightFrom(x, y);
    expect(
      sideOf(
        wall,
        light,
        light.map(value => 0.05 * value + 1e-5),
      ),
    ).toBe(side);
  });
});
