import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {partOfFace, sideForBoth, wallAt, widestGap, yourSide} from '../../src/judge/sides.js';
import {trailWithout, zones} from './readings.js';

const {cx, cy, rx, ry} = zones.face;

describe("the sitter's own sides", () => {
  it('are the mirror of the picture', () => {
    expect(yourSide(-1)).toBe('right');
    expect(yourSide(1)).toBe('left');
    expect(sideForBoth('left')).toBe('the left of the picture, your right');
    expect(sideForBoth('top')).toBe('above');
  });

  it.each([
    [0, -0.6, 'your forehead'],
    [-0.6, -0.5, 'your right temple'],
    [0.5, -0.15, 'your left eye'],
    [-0.5, 0.3, 'your right cheek'],
    [0, 0.1, 'your nose'],
    [0, 0.45, 'your mouth'],
    [0, 0.8, 'your chin'],
    [0.6, 0.7, 'your left jaw'],
  ])('at %d across and %d down the face lies %s', (across, down, part) => {
    expect(partOfFace({x: cx + across * rx, y: cy + down * ry}, zones)).toBe(part);
  });

  it('mirror with the point: what is your left cheek on one side is your right cheek on the other', () => {
    const offs = fc.double({min: 0.25, max: 1, noNaN: true});
    fc.assert(
      fc.property(offs, fc.double({min: -1, max: 1, noNaN: true}), (across, down) => {
        const left = partOfFace({x: cx + across * rx, y: cy + down * ry}, zones);
        const right = partOfFace({x: cx - across * rx, y: cy + down * ry}, zones);
        expect(right).toBe(left.replace('left', 'right'));
      }),
    );
  });

  it('are told from the middle of the frame where the face was not marked', () => {
    expect(partOfFace({x: 0.42, y: 0.5}, null)).toContain('your right');
  });
});

describe('walls', () => {
  it("are named as the picture shows them, from the face's own place on", () => {
    expect(wallAt({x: 0.1, y: 0.4}, zones)).toBe('the left wall');
    expect(wallAt({x: 0.9, y: 0.4}, zones)).toBe('the right wall');
    expect(wallAt({x: 0.5, y: 0.1}, zones)).toBe('the wall above the head');
  });
});

describe('the widest gap of a trail', () => {
  it('is found across the seam at the right of the picture', () => {
    expect(widestGap(trailWithout(350, 40))).toEqual({fromDegrees: 350, toDegrees: 40, degrees: 50});
    expect(widestGap(trailWithout(60, 120))).toEqual({fromDegrees: 60, toDegrees: 120, degrees: 60});
  });

  it('is nothing for a whole round, and everything for no trail', () => {
    expect(widestGap(new Array<boolean>(72).fill(true))).toBeNull();
    expect(widestGap(new Array<boolean>(72).fill(false))).toMatchObject({degrees: 360});
  });

  it('is as wide as what was left out', () => {
    const fives = fc.integer({min: 0, max: 71}).map(index => index * 5);
    fc.assert(
      fc.property(fives, fc.integer({min: 1, max: 71}), (from, length) => {
        const to = (from + length * 5) % 360;
        expect(widestGap(trailWithout(from, to))).toEqual({fromDegrees: from, toDegrees: to, degrees: length * 5});
      }),
    );
  });
});
