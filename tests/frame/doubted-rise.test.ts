import {describe, expect, it} from 'vitest';
import {ambientReading} from '../../src/frame/room/ambient-reading.js';
import type {LitWall} from '../../src/frame/room/lit-wall.js';

/*
 * A bright trail's glow lies on the dark wall about it, and where a trail crosses much of the wall, light is doubtful all
 * over it: a little more light than on the dark plate is then no leak.
 */

const COLUMNS = 20;
const blocks = Array.from({length: COLUMNS * 15}, (_, at) => {
  const [column, row] = [at % COLUMNS, Math.floor(at / COLUMNS)];
  return {column, row, x: (column + 0.5) / COLUMNS, y: (row + 0.5) / 15};
});

/** New light that falls off from the left, in the mean so many times the dark wall's; seen over its doubt so many times. */
const litWall = (added: number, over: number): LitWall => {
  const dark = blocks.map(() => 0.002);
  const falling = blocks.map(({x}) => Math.exp(-x / 0.8));
  const mean = falling.reduce((sum, value) => sum + value, 0) / falling.length;
  const light = Float64Array.from(falling, value => (0.002 * added * value) / mean);
  const nothing = (): Float64Array => new Float64Array(blocks.length);
  return {
    ofCode: 0.0003,
    wall: {
      dark: Float64Array.from(dark),
      flash: nothing(),
      flashOf: [],
      rest: light,
      restOf: [light, light, light],
      standing: nothing(),
      most: light,
      mixed: nothing(),
    },
    newLight: {
      blocks: light,
      doubts: light.map(value => value / over),
      weights: light.map(() => 1),
      parts: {
        solution: new Float64Array(0),
        local: {
          difference: nothing(),
          grid: nothing(),
          columns: COLUMNS,
          rows: 15,
          pitchX: 1 / COLUMNS,
          pitchY: 1 / 15,
        },
        most: Math.max(...light),
      },
    },
  };
};

const read = (added: number, over: number) => {
  const wall = litWall(added, over);
  return ambientReading({blocks, beside: []}, wall, wall, true);
};

describe('a wall that has become a little brighter', () => {
  it('has a leak where that is seen over its doubt, or much', () => {
    expect(read(0.45, 1.4).side).toBe('left');
    expect(read(0.45, 0.8).side).toBeNull();
    expect(read(1, 0.8).side).toBe('left');
    expect(read(0.15, 5).side).toBeNull();
  });

  it('has risen by as much as it has, whether or not that is called a leak', () => {
    for (const over of [0.8, 1.4, 5]) expect(read(0.45, over).riseEv).toBeCloseTo(Math.log2(1.45), 2);
  });
});
