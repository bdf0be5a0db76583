import {expect, test} from 'vitest';
import {REGION} from '../../src/frame/regions.js';
import {lightAbout, lightAboutAt} from '../../src/frame/trail/light-about.js';

const [width, height, step] = [160, 120, 8];
const places = Int32Array.from({length: width * height}, (_, at) => at);
const near = new Uint8Array(width * height).fill(REGION.near);

test('what is typical of a neighbourhood is told, whatever lines cross it', () => {
  const rest = Float32Array.from(places, at => {
    const [x, y] = [at % width, Math.floor(at / width)];
    return Math.abs(x - y) < 6 ? 0.9 : 0.02;
  });
  const about = lightAbout(rest, places, near, width, step);
  for (const [x, y] of [
    [80, 80],
    [20, 20],
    [140, 30],
  ] as const) {
    expect(lightAboutAt(about, x, y)).toBeCloseTo(0.02, 6);
  }
});

test('nothing is told from the sitter, nor from too few places', () => {
  const rest = new Float32Array(width * height).fill(0.02);
  const head = new Uint8Array(width * height).fill(REGION.head);
  expect(lightAboutAt(lightAbout(rest, places, head, width, step), 80, 60)).toBe(0);
  const few = places.filter(at => at % width < 2 * step && at < 2 * step * width);
  expect(lightAboutAt(lightAbout(rest, few, near, width, step), 4, 4)).toBe(0);
});

test('what lies about the sitter goes on before it, for some way', () => {
  // From the left edge on wall with light on it; then the sitter, who shows something else.
  const rest = Float32Array.from(places, at => (at % width < 64 ? 0.02 : 0.7));
  const regions = Uint8Array.from(places, at => (at % width < 64 ? REGION.wall : REGION.head));
  const about = lightAbout(rest, places, regions, width, step);
  expect(lightAboutAt(about, 30, 60)).toBeCloseTo(0.02, 6);
  expect(lightAboutAt(about, 90, 60)).toBeCloseTo(0.02, 6);
  expect(lightAboutAt(about, 155, 60)).toBe(0);
});

test('less light than was expected is none', () => {
  const rest = new Float32Array(width * height).fill(-0.02);
  expect(lightAboutAt(lightAbout(rest, places, near, width, step), 80, 60)).toBe(0);
});
