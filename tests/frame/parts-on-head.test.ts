import {describe, expect, it} from 'vitest';
import {REGION} from '../../src/frame/regions.js';
import {trailMask} from '../../src/frame/trail/trail-mask.js';
import {candidatesOf, height, regions, width} from './quick-candidates.js';

/* What is a part of a trail on the head although it is small, or stands out little. */

type Light = (x: number, y: number) => number;

const box =
  (left: number, top: number, across: number, down: number): Light =>
  (x, y) =>
    x >= left && x < left + across && y >= top && y < top + down ? 0.1 : 0;

const all =
  (...lights: Light[]): Light =>
  (x, y) =>
    Math.max(...lights.map(light => light(x, y)));

const onHead = (light: Light, isCertain?: (x: number, y: number) => boolean): number =>
  trailMask(candidatesOf(light, isCertain), regions, width, height).reduce(
    (sum, value, at) => sum + (value && regions[at] === REGION.head ? 1 : 0),
    0,
  );

describe('a line that is too dim to stand out on the face', () => {
  const [left, right] = [box(120, 200, 115, 4), box(362, 200, 115, 4)];
  const across = box(242, 200, 114, 4);
  const isBeside = (x: number): boolean => x < 238 || x > 360;

  it('is one where a trail comes from one side and goes on at the other', () => {
    expect(onHead(all(left, across, right), isBeside)).toBeGreaterThan(350);
    // Also where it is interrupted in its middle.
    const broken = all(box(242, 200, 54, 4), box(302, 200, 54, 4));
    expect(onHead(all(left, broken, right), isBeside)).toBeGreaterThan(350);
  });

  it('is none where the trail ends there, nor is a thick patch between', () => {
    // But for the ends of what is beside it.
    expect(onHead(all(left, across), isBeside)).toBeLessThan(80);
    expect(onHead(all(left, box(242, 180, 114, 40), right), isBeside)).toBeLessThan(80);
  });
});

describe('small dashes on the head', () => {
  const dashes = (xs: number[], ys: number[]): Light => all(...xs.map((x, n) => box(x, ys[n]!, 7, 3)));

  it('are a trail in an even row', () => {
    expect(onHead(dashes([255, 270, 285, 300, 315, 330], [190, 188, 187, 187, 188, 190]))).toBeGreaterThan(100);
  });

  it('are none here and there', () => {
    expect(onHead(dashes([255, 270, 285, 300, 315, 330], [190, 210, 180, 215, 175, 200]))).toBe(0);
    expect(onHead(dashes([255, 270, 279, 300, 309, 340], [190, 188, 187, 187, 188, 190]))).toBe(0);
  });
});
