import {describe, expect, it} from 'vitest';
import {REGION, regionMap} from '../../src/frame/regions.js';
import {darkShare} from '../../src/frame/room/dark-share.js';
import type {WallBlock} from '../../src/frame/room/wall-samples.js';

const [width, height] = [320, 240];
const face = {cx: 160, cy: 80, rx: 22, ry: 30};
const regions = regionMap(face, width, height);

/** The room's own light, three times as much on the left as on the right, and a pale thing at the lower left. */
const roomLight = (x: number): number => 0.006 - 0.004 * (x / width);
const isPale = (x: number, y: number): boolean => x >= 90 && x < 130 && y >= 180 && y < 230;
const darkWith = (times: number): Float32Array =>
  Float32Array.from({length: width * height}, (_, at) => {
    const x = at % width;
    return roomLight(x) * (isPale(x, Math.floor(at / width)) ? times : 1);
  });

const SIZE = 8;
const blocks: WallBlock[] = [];
const places: number[] = [];
for (let row = 0; row < height / SIZE; row++) {
  for (let column = 0; column < width / SIZE; column++) {
    const [x, y] = [column * SIZE + SIZE / 2, row * SIZE + SIZE / 2];
    if (regions[y * width + x] !== REGION.wall) continue;
    blocks.push({x: x / width, y: y / height, column, row});
    places.push(y * width + x);
  }
}
const shareWith = (times: number): Float32Array =>
  darkShare(darkWith(times), blocks, Int32Array.from(places), regions, width, height).fine;

describe('how many times as much as the wall a place reflects', () => {
  it('is told by the room’s own light, but for what eight bits leave open', () => {
    const share = shareWith(3);
    const own = roomLight(110);
    const floor = 0.0015;
    expect(share[205 * width + 110]).toBeCloseTo((3 * own + floor) / (own + floor), 0);
    expect(share[205 * width + 110]).toBeGreaterThan(2);
  });

  it('is 1 on the wall, however the room’s light falls, and on the head', () => {
    const share = shareWith(3);
    for (const [x, y] of [
      [20, 20],
      [300, 30],
      [160, 80],
      [300, 200],
    ] as const) {
      expect(share[y * width + x]).toBeCloseTo(1, 0);
      expect(share[y * width + x]).toBeLessThan(1.3);
    }
  });

  it('is more the paler a place is, and never more than six', () => {
    const at = 205 * width + 110;
    const values = [1, 2, 4, 8, 100].map(times => shareWith(times)[at]!);
    for (let n = 1; n < values.length; n++) expect(values[n]).toBeGreaterThanOrEqual(values[n - 1]!);
    expect(values.at(-1)).toBe(6);
    expect(values[0]).toBeLessThan(1.3);
  });

  it('is 1 everywhere where no wall is to be seen', () => {
    const none = darkShare(darkWith(3), [], new Int32Array(0), regions, width, height).fine;
    expect(none.every(value => value === 1)).toBe(true);
  });
});
