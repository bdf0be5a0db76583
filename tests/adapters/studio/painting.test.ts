import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {type BrushPoint, paintingOf, slipOf} from '../../../adapters/studio/scene/painting.js';
import {DEMO_SEED} from '../../../adapters/studio/studio.js';

const eyes = 1.6;
const paint = (seed: number, number: number) => paintingOf(seed, number, eyes, 0.6, 5.6);

/** Points on this side of the sitter that come nearer to the middle of the face than this, seen from the camera. */
const nearFace = (points: BrushPoint[], metres: number): BrushPoint[] =>
  points.filter(({at, shine}) => shine > 0.1 && at[2] > 0 && Math.hypot(at[0], at[1] - eyes) < metres);

describe('A simulated painting', () => {
  it('is the same for the same seed and number, and another for another number', () => {
    fc.assert(
      fc.property(fc.integer({min: 0, max: 1e6}), fc.integer({min: 0, max: 40}), (seed, number) => {
        const text = JSON.stringify(paint(seed, number));
        expect(JSON.stringify(paint(seed, number)) === text).toBe(true);
        expect(JSON.stringify(paint(seed, number + 1)) === text).toBe(false);
      }),
      {numRuns: 12},
    );
  });

  it('follows the cue sheet: it begins after "paint" and ends by "hold still"', () => {
    const {points} = paint(4, 1);
    expect(points[0]!.seconds).toBeCloseTo(0.6, 2);
    expect(points.at(-1)!.seconds).toBeLessThanOrEqual(5.6);
  });

  it('has no jumps: the hand never moves faster than 6 m/s', () => {
    fc.assert(
      fc.property(fc.integer({min: 0, max: 1e6}), seed => {
        const {points} = paint(seed, 0);
        let fastest = 0;
        for (let i = 1; i < points.length; i += 1) {
          const [a, b] = [points[i - 1]!, points[i]!];
          const metres = Math.hypot(a.at[0] - b.at[0], a.at[1] - b.at[1], a.at[2] - b.at[2]);
          fastest = Math.max(fastest, metres / (b.seconds - a.seconds));
        }
        expect(fastest).toBeLessThan(6);
      }),
      {numRuns: 30},
    );
  });

  it('goes well about one time in three, and badly in every way that it can', () => {
    const seen = new Map<string, number>();
    for (let number = 0; number < 400; number += 1) {
      const slip = slipOf(77, number);
      seen.set(slip, (seen.get(slip) ?? 0) + 1);
    }
    expect([...seen.keys()].sort()).toEqual(['crossing', 'drift', 'high', 'none', 'open top', 'short']);
    expect(seen.get('none')! / 400).toBeGreaterThan(0.25);
    expect(seen.get('none')! / 400).toBeLessThan(0.45);
  });

  it('tells the demo’s story: a crossing, one too high, then good ones', () => {
    expect([0, 1, 2, 3].map(number => slipOf(DEMO_SEED, number))).toEqual(['crossing', 'high', 'none', 'none']);
  });

  it('comes before the face in a crossing and nowhere near it in a good one', () => {
    for (let number = 0; number < 20; number += 1) {
      expect(nearFace(paintingOf(1, number, eyes, 0, 5, 'none').points, 0.13)).toEqual([]);
      expect(nearFace(paintingOf(1, number, eyes, 0, 5, 'crossing').points, 0.1).length).toBeGreaterThan(20);
    }
  });

  it('rises much higher over the head when it is high, and stays dark there when its top is open', () => {
    const top = (slip: 'none' | 'high'): number =>
      Math.max(...paintingOf(1, 3, eyes, 0, 5, slip).points.map(({at}) => at[1]));
    expect(top('high')).toBeGreaterThan(top('none') + 0.07);
    const over = paintingOf(1, 3, eyes, 0, 5, 'open top').points.filter(
      ({at, shine}) => at[1] > eyes + 0.15 && Math.abs(at[0]) < 0.03 && shine > 0.02,
    );
    expect(over).toEqual([]);
  });
});
