import {mkdtemp, readFile, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import sharp from 'sharp';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {blur, broadBlur} from './blur.js';
import {decodeSrgb, linearOf, luminanceOf} from './light-map.js';
import {heldOutCurves, heldOutHeads, openCurves, openHeads} from './palette.js';
import {planRoom, roomCounts} from './plan.js';
import {seeded} from './random.js';
import type {RoomRecipe} from './recipe.js';
import {writeRoom} from './room.js';
import {drawTrail, type Stroke} from './trail.js';
import {crossingTruth, partInside, trailTruth} from './truth.js';

const width = 400;
const height = 300;
const face = {cx: 200, cy: 150, rx: 36, ry: 50};

const stroke = (points: [number, number][], reach: number): Stroke => ({
  points,
  reach,
  brush: 'flat',
  edge: 0,
  ev: 0,
  tint: [1, 1, 1],
  dash: null,
  wander: 0,
});

const circle = (cx: number, cy: number, radius: number): [number, number][] =>
  Array.from({length: 361}, (_, i) => [
    cx + radius * Math.cos((i * Math.PI) / 180),
    cy + radius * Math.sin((i * Math.PI) / 180),
  ]);

const own = (...strokes: Stroke[]): Float32Array => luminanceOf(drawTrail(width, height, strokes, seeded('test')));

describe('the truth of a trail', () => {
  it('a circle around the head covers all 72 directions, crosses nothing and keeps its gap', () => {
    const light = own(stroke(circle(200, 150, 100), 3));
    const truth = trailTruth(light, width, face)!;
    expect(truth.coverage).toBe(1);
    expect(truth.crossing).toBe(0);
    expect(crossingTruth(light, width, [face])).toBe('none');
    // The line's lower edge at x = ±36 is √(97² − 36²) = 90.1 above the centre: 40.1 over the ellipse's top, of 100.
    expect(truth.headGap).toBeCloseTo(0.401, 1);
    // Within a quarter of the width, at x = ±18: √(97² − 18²) = 95.3.
    expect(truth.headGapNarrow).toBeCloseTo(0.453, 1);
    expect(Math.hypot(truth.offset.x, truth.offset.y)).toBeLessThan(0.01);
  });

  it('half a circle covers half of the directions', () => {
    const upper = circle(200, 150, 100).slice(180);
    expect(trailTruth(own(stroke(upper, 2)), width, face)!.coverage).toBeCloseTo(0.5, 1);
  });

  it('a circle drawn half a head aside is offset by half a head', () => {
    const truth = trailTruth(own(stroke(circle(250, 150, 95), 2)), width, face)!;
    expect(truth.offset.x).toBeCloseTo(0.5, 1);
    expect(truth.offset.y).toBeCloseTo(0, 2);
  });

  it('a bar through the middle of the ellipse crosses by its area', () => {
    const light = own(
      stroke(
        [
          [100, 150],
          [300, 150],
        ],
        2.5,
      ),
    );
    // 5 pixels high over 72 of width, of π·36·50 = 5655: 0.064.
    expect(partInside(light, width, face, -3)).toBeCloseTo(0.064, 2);
    expect(crossingTruth(light, width, [face])).toBe('crossing');
    expect(trailTruth(light, width, face)!.headGap).toBeNull();
  });

  it('light below the threshold is no trail', () => {
    expect(trailTruth(own({...stroke(circle(200, 150, 100), 3), ev: -3.2}), width, face)).toBeNull();
    expect(trailTruth(own({...stroke(circle(200, 150, 100), 3), ev: -2.8}), width, face)?.coverage).toBe(1);
  });

  it('a line has the level that was asked for, and twice the light where two cross', () => {
    const light = own(
      stroke(
        [
          [50, 80],
          [350, 80],
        ],
        4,
      ),
      stroke(
        [
          [200, 20],
          [200, 140],
        ],
        4,
      ),
    );
    const single = light[80 * width + 100]! / linearOf(0);
    expect(Math.abs(Math.log2(single))).toBeLessThan(0.15);
    // A hand's speed wanders, so both lines may be off by as much as the single one above.
    const crossed = light[80 * width + 200]! / linearOf(0);
    expect(Math.abs(Math.log2(crossed) - 1)).toBeLessThan(0.15);
  });
});

describe('blurring', () => {
  it.each([
    ['narrow', blur, 1.2],
    ['narrow', blur, 4],
    ['broad', broadBlur, 4],
    ['broad', broadBlur, 18],
  ])('%s keeps the light and has the sigma that was asked for (%#)', (_name, filter, sigma) => {
    const size = 181;
    const data = new Float32Array(size * size);
    data[90 * size + 90] = 1;
    filter(data, size, size, 1, sigma);
    let sum = 0;
    let spread = 0;
    for (let i = 0; i < data.length; i++) {
      sum += data[i]!;
      spread += data[i]! * ((i % size) - 90) ** 2;
    }
    expect(sum).toBeCloseTo(1, 2);
    expect(Math.sqrt(spread / sum) / sigma).toBeGreaterThan(0.9);
    expect(Math.sqrt(spread / sum) / sigma).toBeLessThan(1.2);
  });
});

describe('the two sets of rooms', () => {
  it('the open set has every open head and curve, the set kept aside has kinds of its own', () => {
    const open = Array.from({length: roomCounts.open}, (_, i) => planRoom('open', i));
    const kept = Array.from({length: roomCounts['held-out']}, (_, i) => planRoom('held-out', i));
    expect(new Set(open.map(room => room.head.name)).size).toBe(openHeads.length);
    expect(new Set(open.map(room => room.camera.curve))).toEqual(new Set(openCurves));
    expect(new Set(kept.map(room => room.camera.curve))).toEqual(new Set([...openCurves, ...heldOutCurves]));
    const names = new Set(open.map(room => room.head.name));
    expect(new Set(kept.map(room => room.head.name).filter(name => !names.has(name))).size).toBe(heldOutHeads.length);
    const fractions = open.map(room => room.headFraction);
    expect(Math.min(...fractions)).toBeCloseTo(0.08, 2);
    expect(Math.max(...fractions)).toBeCloseTo(0.35, 2);
    expect(new Set(open.map(room => room.lights.length))).toEqual(new Set([1, 2, 3, 4]));
    expect(new Set([...open, ...kept].map(room => room.seed)).size).toBe(open.length + kept.length);
  });
});

describe('a room on disk', () => {
  let folder: string;
  // Room 2 of the open set: a drawn head and two lights. A camera without faults, a sitter who stands still.
  const planned = planRoom('open', 1, 480);
  const quiet: RoomRecipe = {
    ...planned,
    wall: {...planned.wall, kind: 'plain'},
    plateSway: 0,
    camera: {
      ...planned.camera,
      curve: 'none',
      whiteBalance: [1, 1, 1],
      fullWell: 1e9,
      readNoise: 0,
      hotPixels: [],
      jpegQuality: 100,
      chroma: '4:4:4',
      orientation: 6,
    },
    frames: planned.frames
      .filter(frame => ['a light mis-set', 'leak', 'a light missing'].includes(frame.kind))
      .map(frame => ({...frame, trail: null, sway: {amount: 0, angle: 0, turn: 0, scale: 1}})),
  };

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'darkset-truth-'));
  });
  afterAll(async () => {
    await rm(folder, {recursive: true, force: true});
  });

  const read = async (file: string): Promise<{width: number; height: number; linear: Float32Array}> => {
    const {data, info} = await sharp(join(folder, file)).rotate().raw().toBuffer({resolveWithObject: true});
    return {width: info.width, height: info.height, linear: Float32Array.from(data, code => decodeSrgb(code / 255))};
  };

  it('holds frames that are the sum of its plates, each light as strong as the truth says', async () => {
    const truth = await writeRoom(quiet, folder);
    const dark = await read('dark.jpg');
    expect([dark.width, dark.height]).toEqual([quiet.width, quiet.height]);
    const plates = await Promise.all(truth.frames[0]!.lights.map(light => read(`light-${light.id}.jpg`)));
    const withoutLeak = truth.frames.filter(frame => frame.ambient.side === null);
    expect(withoutLeak).toHaveLength(2);
    for (const frame of withoutLeak) {
      const seen = await read(frame.file);
      let off = 0;
      let compared = 0;
      for (let i = 0; i < seen.linear.length; i += 11) {
        let sum = dark.linear[i]!;
        for (const [n, light] of frame.lights.entries()) {
          if (light.ev !== null) sum += 2 ** light.ev * (plates[n]!.linear[i]! - dark.linear[i]!);
        }
        if (sum < 0.05 || sum > 0.9) continue;
        compared += 1;
        if (Math.abs(seen.linear[i]! - sum) > 0.06 * sum + 0.004) off += 1;
      }
      expect(compared).toBeGreaterThan(200);
      // New hot pixels and what clips in a plate remain.
      expect(off / compared).toBeLessThan(0.03);
    }
    const leak = truth.frames.find(frame => frame.ambient.side !== null)!;
    const wanted = quiet.frames.find(frame => frame.leak !== null)!.leak!;
    expect(leak.ambient.side).toBe(wanted.side);
    expect(leak.ambient.riseEv).toBeCloseTo(wanted.riseEv, 0);
    expect(leak.ambient.riseSeenEv).toBeCloseTo(leak.ambient.riseEv, 1);
  });

  it('is the same again from the same seed, and another one from another', async () => {
    const one = await readFile(join(folder, 'frame-01.jpg'));
    const again = join(folder, 'again');
    await writeRoom(quiet, again);
    expect((await readFile(join(again, 'frame-01.jpg'))).equals(one)).toBe(true);
    await writeRoom({...quiet, seed: 'another'}, again);
    expect((await readFile(join(again, 'frame-01.jpg'))).equals(one)).toBe(false);
  });
});
