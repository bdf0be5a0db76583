import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {codeNoise} from '../../src/frame/code-noise.js';
import {drawnOver} from '../../src/frame/room/drawn-over.js';
import {fitNewLight} from '../../src/frame/room/new-light.js';
import {sideOf} from '../../src/frame/room/side.js';
import type {WallBlock} from '../../src/frame/room/wall-samples.js';
import {brightestAround, ridgeDistances, standsOut} from '../../src/frame/trail/ridge.js';

const [width, height] = [300, 200];
const middle = 100 * width + 150;
const distances = ridgeDistances(width, height);

/** A plane of light from a function of the place, pixels from the middle. */
const planeOf = (light: (x: number, y: number) => number): Float32Array =>
  Float32Array.from({length: width * height}, (_, at) => light((at % width) - 150, Math.floor(at / width) - 100));

describe('a line', () => {
  it('stands above both its sides whatever its direction and width, over any slope', () => {
    const angle = fc.double({min: 0, max: Math.PI, noNaN: true});
    fc.assert(
      fc.property(angle, fc.double({min: 0.8, max: 4, noNaN: true}), angle, (direction, sigma, slope) => {
        const plane = planeOf((x, y) => {
          const across = x * Math.sin(direction) - y * Math.cos(direction);
          const ground = 0.1 + 0.0005 * (x * Math.cos(slope) + y * Math.sin(slope));
          return ground + 0.2 * Math.exp(-((across / sigma) ** 2) / 2);
        });
        expect(standsOut(plane, width, height, middle, distances, 0.15)).toBe(true);
      }),
      {numRuns: 60},
    );
  });

  it('is no slope, no edge and no broad patch', () => {
    const angle = fc.double({min: 0, max: 2 * Math.PI, noNaN: true});
    fc.assert(
      fc.property(angle, fc.double({min: 0.5, max: 30, noNaN: true}), (direction, soft) => {
        const along = (x: number, y: number): number => x * Math.cos(direction) + y * Math.sin(direction);
        const edge = planeOf((x, y) => 0.2 / (1 + Math.exp(-along(x, y) / soft)));
        expect(standsOut(edge, width, height, middle, distances, 0.01)).toBe(false);
        const patch = planeOf((x, y) => 0.2 * Math.exp(-(x * x + y * y) / 2 / 60 ** 2));
        expect(standsOut(patch, width, height, middle, distances, 0.02)).toBe(false);
      }),
      {numRuns: 60},
    );
  });

  it('at the frame’s edge is told by its inner side', () => {
    const plane = planeOf((_, y) => (y <= -98 ? 0.2 : 0.01));
    expect(standsOut(plane, width, height, 150, distances, 0.189)).toBe(true);
    expect(standsOut(plane, width, height, 150, distances, 0.191)).toBe(false);
  });
});

it('the brightest place around is found in each of eight directions', () => {
  for (const [dx, dy] of [
    [6, 0],
    [-6, 0],
    [0, 6],
    [0, -6],
  ] as const) {
    const plane = planeOf((x, y) => (Math.hypot(x - dx, y - dy) < 2 ? 0.7 : 0.1));
    expect(brightestAround(plane, width, height, middle, [6])).toBeCloseTo(0.7, 5);
    expect(brightestAround(plane, width, height, middle, [2])).toBeCloseTo(0.1, 5);
  }
});

it('noise of code values is told, undisturbed by edges and by black', () => {
  let state = 7;
  const uniform = (): number => {
    state = (state * 16_807) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  const normal = (): number => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  for (const sigma of [1, 3]) {
    // Half of it black without noise, as JPEG leaves it; the rest lit, in stripes.
    const g = planeOf((x, y) => (y < 0 ? 2 : (Math.floor((x + 150) / 20) % 2 ? 60 : 120) + sigma * normal()));
    expect(codeNoise({width, height, r: g, g, b: g})).toBeGreaterThan(0.85 * sigma);
    expect(codeNoise({width, height, r: g, g, b: g})).toBeLessThan(1.15 * sigma);
  }
});

/** The wall's blocks of a frame whose lower middle the sitter stands before. */
const blocks: WallBlock[] = Array.from({length: 36 * 24}, (_, n) => ({
  column: n % 36,
  row: Math.floor(n / 36),
  x: ((n % 36) + 0.5) / 36,
  y: (Math.floor(n / 36) + 0.5) / 24,
})).filter(({x, y}) => y < 0.3 || Math.abs(x - 0.5) > 0.2);

describe('where new light comes from', () => {
  const falling = (distance: number): number => 0.02 * (0.06 + Math.exp(-2.6 * distance));
  it.each([
    ['left', ({x}: WallBlock) => falling(x)],
    ['right', ({x}: WallBlock) => falling(1 - x)],
    ['top', ({y}: WallBlock) => falling(y)],
    ['bottom', ({y}: WallBlock) => falling(1 - y)],
    ['even', () => 0.02],
  ] as const)('is told of light from: %s, with a wall in folds and a trail over a tenth of it', (side, light) => {
    const seen = blocks.map((block, i) => {
      const folds = 1 + 0.5 * Math.sin(block.column * 1.3);
      return i % 10 === 0 ? 0.3 : folds * light(block);
    });
    expect(
      sideOf(
        blocks,
        seen,
        seen.map(() => 0.0005),
      ),
    ).toBe(side);
  });

  it('is told of a patch at the left edge’s lower half, below which the sitter hides the wall', () => {
    // In the mean it rises downwards too, and more so than to the left; but not to the end.
    const patch = blocks.map(({x, y}) => 0.0012 * 2 ** (4 * y) + 0.03 * Math.exp(-x / 0.25 - ((y - 0.62) / 0.2) ** 2));
    const isSeen = ({x, y}: WallBlock): boolean => y < 0.35 || x < 0.3 || x > 0.75;
    const kept = blocks.filter(isSeen);
    const seen = patch
      .filter((_, i) => isSeen(blocks[i]!))
      .map((light, i) => (kept[i]!.y > 0.75 ? light * 2 ** (-10 * (kept[i]!.y - 0.75)) : light));
    expect(
      sideOf(
        kept,
        seen,
        seen.map(() => 0.0002),
      ),
    ).toBe('left');
  });

  it('is told of much light from the left, although its last fifth is darker again', () => {
    // A shelf, or a lens that darkens its corners; a little of it also lies lower.
    const seen = blocks.map(({x, y}) => falling(x) * 2 ** (0.5 * y) * (x < 0.2 ? 0.5 : 1));
    const isSeen = ({x, y}: WallBlock): boolean => y < 0.4 || x < 0.25 || x > 0.75;
    const kept = blocks.filter(isSeen);
    const light = seen.filter((_, i) => isSeen(blocks[i]!));
    expect(
      sideOf(
        kept,
        light,
        light.map(() => 0.0004),
      ),
    ).toBe('left');
  });

  it('is not told from places of which nothing is known', () => {
    // From the left; below right, where a flash is bright on the wall, its spill leaves room for anything.
    const isDoubtful = ({x, y}: WallBlock): boolean => x > 0.7 && y > 0.4;
    const seen = blocks.map(block => (isDoubtful(block) ? 0.2 : falling(block.x)));
    const doubts = blocks.map(block => (isDoubtful(block) ? 0.5 : 0.0005));
    expect(sideOf(blocks, seen, doubts)).toBe('left');
    expect(
      sideOf(
        blocks,
        seen,
        doubts.map(() => 0.0005),
      ),
    ).not.toBe('left');
  });
});

describe('new light on the wall', () => {
  const doubt = Float64Array.from(blocks, () => 0.0005);
  const broad = ({x}: WallBlock): number => 0.02 * Math.exp(-x / 0.4);

  it('is no more than was seen, even where a trail lies over it', () => {
    // It rises towards the bottom left, as far as can be seen; lower down a trail covers the wall, which is dark there.
    const light = ({x, y}: WallBlock): number => (y < 0.4 ? 0.02 * Math.exp(-x / 0.3) * Math.exp(2 * y) : 0.001);
    const drawn = Uint8Array.from(blocks, ({y}) => (y < 0.4 ? 0 : 1));
    const seen = Float64Array.from(blocks, block => light(block));
    const found = fitNewLight(blocks, seen, doubt, [], drawn).blocks;
    blocks.forEach((_, i) => {
      if (drawn[i]) expect(found[i]!).toBeLessThanOrEqual(seen[i]! + 2 * doubt[i]!);
    });
  });

  it('is not given to a flash whose spill it resembles', () => {
    const spill = Float64Array.from(blocks, ({y}) => 0.01 + 0.004 * (1 - y));
    const seen = Float64Array.from(blocks, (block, i) => broad(block) + 0.02 * spill[i]!);
    const found = fitNewLight(blocks, seen, doubt, [spill], new Uint8Array(blocks.length)).blocks;
    const sum = (values: Float64Array): number => values.reduce((all, value) => all + value, 0);
    expect(sum(found) / sum(Float64Array.from(blocks, broad))).toBeGreaterThan(0.93);
    expect(sum(found) / sum(Float64Array.from(blocks, broad))).toBeLessThan(1.1);
  });
});

describe('blocks that a trail lies on', () => {
  const standingAt = (column: number, row: number, light: number): Float64Array =>
    Float64Array.from(blocks, block => (block.column === column && block.row === row ? light : 0));
  const marked = (standing: Float64Array): number => drawnOver(blocks, standing).reduce((sum, value) => sum + value, 0);

  it('spoil no neighbour when dim, and more of them the brighter the trail', () => {
    expect(marked(standingAt(5, 3, 0.01))).toBe(0);
    expect(marked(standingAt(5, 3, 0.03))).toBe(1);
    expect(marked(standingAt(5, 3, 0.1))).toBe(9);
    expect(marked(standingAt(5, 3, 0.9))).toBe(25);
  });

  it('leave some of the wall to be read, however dense the trail', () => {
    const dense = Float64Array.from(blocks, (_, i) => (i % 3 === 0 ? 0.9 : 0));
    const left = blocks.length - marked(dense);
    expect(left).toBeGreaterThan(0.5 * blocks.length);
    expect(marked(Float64Array.from(blocks, () => 0.9))).toBe(0);
  });
});
