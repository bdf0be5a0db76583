import {describe, expect, it} from 'vitest';
import {REGION} from '../../src/frame/regions.js';
import type {Candidates} from '../../src/frame/trail/own-light.js';
import {trailMask} from '../../src/frame/trail/trail-mask.js';
import {candidatesOf, height, regions, width} from './quick-candidates.js';

/*
 * A head that turned shows a shadow's edge elsewhere than on the plates. What is bright there is no line: it is thicker than
 * the trail around the head, and softer.
 */

const lineOf = (off: number, sigma: number): number => 0.1 * Math.exp(-((off / sigma) ** 2) / 2);

/** A loop about the head, well off it. */
const loop = (x: number, y: number): number => lineOf(Math.hypot(x - 300, y - 190) - 130, 2);

const onHead = (mask: Uint8Array): number =>
  mask.reduce((sum, value, at) => sum + (value && regions[at] === REGION.head ? 1 : 0), 0);
const onWall = (mask: Uint8Array): number =>
  mask.reduce((sum, value, at) => sum + (value && regions[at] === REGION.wall ? 1 : 0), 0);

/** How many pixels of the head are taken for trail where this light lies over the frame. */
const foundOnHead = (light: (x: number, y: number) => number): number =>
  onHead(trailMask(candidatesOf(light), regions, width, height));

describe('beside a trail drawn around the head', () => {
  it('a soft, thick patch on the face is none of it', () => {
    const patch = (x: number, y: number): number => 0.08 / (1 + Math.exp((Math.hypot(x - 290, y - 205) - 25) / 2));
    const mask = trailMask(
      candidatesOf((x, y) => loop(x, y) + patch(x, y)),
      regions,
      width,
      height,
    );
    expect(onWall(mask)).toBeGreaterThan(1000);
    expect(onHead(mask)).toBe(0);
  });

  it('a line across the face is, as thin or somewhat thicker', () => {
    for (const half of [3, 4]) {
      const across = (x: number, y: number): number => (Math.abs(y - 200) < half && Math.abs(x - 300) < 50 ? 0.1 : 0);
      const mask = trailMask(
        candidatesOf((x, y) => loop(x, y) + across(x, y)),
        regions,
        width,
        height,
      );
      expect(onHead(mask)).toBeGreaterThan(90 * half);
    }
  });

  it('a dim line is, where it comes onto the head from beside it, and is not where it lies on the head alone', () => {
    const bright = (x: number, y: number): number => 2 * loop(x, y);
    const across = (from: number) => (x: number, y: number) =>
      Math.abs(y - 200) < 3 && x > from && x < 345 ? 0.04 : 0;
    const found = (from: number): number =>
      onHead(
        trailMask(
          candidatesOf((x, y) => bright(x, y) + across(from)(x, y)),
          regions,
          width,
          height,
        ),
      );
    expect(found(175)).toBeGreaterThan(300);
    expect(found(236)).toBe(0);
  });

  it('a thread on the head alone is none where the trail is several times as thick', () => {
    const found = (sigma: number, long: number): number =>
      foundOnHead((x, y) => {
        const isThread = Math.abs(y - 200) < 2 && Math.abs(x - 300) < long / 2;
        return lineOf(Math.hypot(x - 300, y - 190) - 130, sigma) + (isThread ? 0.1 : 0);
      });
    expect(found(6, 50)).toBe(0);
    // As thin as the trail it is one, and so it is where it takes up much of the head.
    expect(found(1, 50)).toBeGreaterThan(120);
    expect(found(6, 100)).toBeGreaterThan(250);
  });

  it('a dim thread on the head alone is none where it is doubtful', () => {
    const found = (certain: number): number => {
      const isThread = (x: number, y: number): boolean => Math.abs(y - 200) < 2 && Math.abs(x - 300) < 50;
      const all = candidatesOf((x, y) => lineOf(Math.hypot(x - 300, y - 190) - 130, 6) + (isThread(x, y) ? 0.04 : 0));
      const mask = all.mask.map((value, at) =>
        value > 0 && isThread(at % width, Math.floor(at / width)) && at % 10 >= certain ? 1 : value,
      );
      return onHead(trailMask({...all, mask}, regions, width, height));
    };
    expect(found(10)).toBeGreaterThan(250);
    expect(found(7)).toBe(0);
  });

  it('the same holds for what runs on from the head over the neck', () => {
    const found = (half: number, light: number): number =>
      foundOnHead((x, y) => {
        // Above the shoulders alone, so that the two don't meet.
        const about = y < 200 ? lineOf(Math.hypot(x - 300, y - 190) - 130, 6) : 0;
        return about + (Math.abs(x - 300) < half && y > 255 && y < 380 ? light : 0);
      });
    expect(found(9, 0.1)).toBeGreaterThan(300);
    expect(found(3, 0.1)).toBe(0);
    expect(found(9, 0.025)).toBe(0);
  });
});

describe('a small loop on the face alone', () => {
  const loopOf = (sigma: number) => candidatesOf((x, y) => 6 * lineOf(Math.hypot(x - 300, y - 190) - 14, sigma));
  const small = loopOf(2);

  it('is a trail where it is far brighter than the head', () => {
    const loops = trailMask({...small, headLight: 0.2}, regions, width, height);
    expect(onHead(loops)).toBeGreaterThan(300);
  });

  it('is one where the head is as bright, if it is sharp; else it may be the flashes’ light', () => {
    expect(onHead(trailMask({...small, headLight: 0.4}, regions, width, height))).toBeGreaterThan(300);
    expect(onHead(trailMask({...loopOf(5), headLight: 0.4}, regions, width, height))).toBe(0);
  });
});

describe('a scribble over face and head', () => {
  /** Loops around one another, which come off the head at both sides; only so much of them beyond doubt. */
  const scribble = (certain: number, light: (off: number) => number): Candidates => {
    const candidates = candidatesOf((x, y) => light(50 * Math.hypot((x - 300) / 60, (y - 190) / 75)));
    for (const at of candidates.pixels) if ((at % width) % 10 >= 10 * certain) candidates.mask[at] = 1;
    return candidates;
  };
  const loops = (off: number): number => [30, 45, 62, 74].reduce((sum, radius) => sum + lineOf(off - radius, 1.5), 0);
  const found = (candidates: Candidates): number => onHead(trailMask(candidates, regions, width, height));

  it('is a trail although none of it lies on the wall and a third of it is doubtful', () => {
    expect(found(scribble(0.6, loops))).toBeGreaterThan(2000);
  });

  it('is none where it is one thick patch, or mostly doubtful', () => {
    expect(found(scribble(0.6, off => (off < 74 ? 0.1 : 0)))).toBe(0);
    expect(found(scribble(0.3, loops))).toBe(0);
  });
});

it('a soft band that outshines the room by far is a trail, whatever few edges it has', () => {
  const band = (x: number): number => 0.8 * Math.exp(-(((x - 90) / 45) ** 2) / 2);
  expect(onWall(trailMask(candidatesOf(band), regions, width, height))).toBeGreaterThan(50_000);
  const dim = (x: number): number => 0.2 * band(x);
  expect(onWall(trailMask(candidatesOf(dim), regions, width, height))).toBe(0);
});

it('a row of sharp dashes on the body alone is a trail, misfits in a row are none', () => {
  // Misfits are soft, and one is several times as bright as another; dashes of one lamp may be as soft, but are alike.
  const row = (x: number, y: number, soft: number, uneven: number): number => {
    const isDash = x > 220 && x < 380 && (x - 220) % 26 < 16;
    const light = Math.floor((x - 220) / 26) % 2 === 0 ? 0.1 : 0.1 / uneven;
    return isDash ? light * Math.exp(-(((y - 330) / soft) ** 2) / 2) : 0;
  };
  const onBody = (soft: number, uneven: number): number =>
    trailMask(
      candidatesOf((x, y) => row(x, y, soft, uneven)),
      regions,
      width,
      height,
    ).reduce((sum, value, at) => sum + (value && regions[at] === REGION.body ? 1 : 0), 0);
  expect(onBody(2, 1)).toBeGreaterThan(300);
  expect(onBody(8, 1)).toBeGreaterThan(300);
  expect(onBody(8, 3)).toBe(0);
});

describe('small dashes in a row on the wall', () => {
  const dashes = (light: number): number =>
    onWall(
      trailMask(
        candidatesOf((x, y) => (x >= 20 && x < 140 && x % 12 < 4 && Math.abs(y - 60) < 2 ? light : 0)),
        regions,
        width,
        height,
      ),
    );

  it('are a trail, but not where they are hardly as bright as one', () => {
    expect(dashes(0.06)).toBeGreaterThan(100);
    expect(dashes(0.03)).toBe(0);
  });
});

describe('specks about the head', () => {
  const specks = (along: number, isOnWall: boolean, certain = 7): number => {
    const x0 = isOnWall ? 100 : 384;
    const isSpeck = (x: number, y: number): boolean =>
      Math.abs(x - x0) < 2 && y >= 150 && y < 240 && (y - 150) % (along + 10) < along;
    const all = candidatesOf((x, y) => (isSpeck(x, y) ? 0.08 : 0));
    const mask = all.mask.map((value, at) =>
      value > 0 && ((at % width) + Math.floor(at / width)) % 10 >= certain ? 1 : value,
    );
    const found = trailMask({...all, mask}, regions, width, height);
    return found.reduce((sum, value) => sum + value, 0);
  };

  it('are no trail where they are doubtful and as short as wide; on the wall they are, and so are dashes', () => {
    expect(specks(4, false)).toBe(0);
    expect(specks(4, true)).toBeGreaterThan(60);
    expect(specks(24, false)).toBeGreaterThan(100);
    expect(specks(4, false, 10)).toBeGreaterThan(60);
  });
});
