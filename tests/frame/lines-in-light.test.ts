import {describe, expect, it} from 'vitest';
import {REGION} from '../../src/frame/regions.js';
import {linesInLight} from '../../src/frame/trail/lines-in-light.js';
import {height, regions, width} from './quick-candidates.js';
import {numbers} from './quick-numbers.js';

/*
 * A leak shows the wall's pattern, in places as bright as a trail. A line that runs on is told from it, if the pattern
 * itself has no lines that are as bright.
 */

const NEW_LIGHT = 0.03;
const TRAIL_LIGHT = 0.0225;
const STEP = 8;

type Light = (x: number, y: number) => number;

/** Blades and pebbles: patches of 2 × 2 pixels, some of them as bright as the line. */
const patches = (): Light => {
  const random = numbers(5);
  const columns = width / 2;
  const levels = Float32Array.from({length: (columns * height) / 2}, () => NEW_LIGHT * 2 * random() ** 4);
  return (x, y) => levels[Math.floor(y / 2) * columns + Math.floor(x / 2)]!;
};

/** Upright joints between boards, as bright as the line. */
const joints: Light = x => (x % 20 < 4 ? 2 * NEW_LIGHT : 0);

const line: Light = (_, y) => (y >= 60 && y < 66 ? 2 * NEW_LIGHT : 0);
const broken: Light = (x, y) => (x % 12 < 5 ? line(x, y) : 0);

/** Which part of the wall in some rows is told to be lines. */
const partOf = (light: Light, from: number, until: number): number => {
  const rest = Float32Array.from({length: width * height}, (_, at) => light(at % width, Math.floor(at / width)));
  const at = Int32Array.from(rest.keys());
  const newLight = new Float32Array(rest.length).fill(NEW_LIGHT);
  const lines = linesInLight({rest, at, newLight}, regions, width, TRAIL_LIGHT, TRAIL_LIGHT / 8, STEP);
  let found = 0;
  let of = 0;
  for (let y = from; y < until; y++) {
    for (let x = 0; x < width; x++) {
      if (regions[y * width + x] !== REGION.wall) continue;
      of++;
      found += lines?.[y * width + x] ?? 0;
    }
  }
  return found / of;
};

describe('in new light on a patterned wall', () => {
  it('a line no brighter than the brightest of the pattern is told, and the pattern is none', () => {
    const pattern = patches();
    const both: Light = (x, y) => line(x, y) + pattern(x, y);
    expect(partOf(both, 61, 65)).toBeGreaterThan(0.9);
    expect(partOf(both, 150, 380)).toBeLessThan(0.01);
  });

  it('joints between boards are none, and a line as bright is not told from them', () => {
    const both: Light = (x, y) => Math.max(line(x, y), joints(x, y));
    expect(partOf(both, 150, 380)).toBe(0);
  });

  it('specks in a row are none', () => {
    expect(partOf(broken, 61, 65)).toBe(0);
  });

  it('is told up to the frame’s edge', () => {
    const low: Light = (x, y) => line(x, y + 58);
    expect(partOf(low, 3, 7)).toBeGreaterThan(0.9);
  });
});
