import {sampleAt} from '../bilinear.js';
import type {Placement} from '../register/pose.js';
import type {WorkImage} from '../work-image.js';

/**
 * Code values (0 to 255, three channels after one another) at a set of points: of the frame, and of every plate where the
 * head's pose finds these points on it.
 */
export type Samples = {
  count: number;
  /** Positions in the frame, one a point. */
  xs: Float64Array;
  ys: Float64Array;
  frame: Float64Array;
  dark: Float64Array;
  lights: Float64Array[];
  /** How much the plates' codes change within a pixel: what a misplaced head would do. */
  roughness: Float64Array;
  /** How much less than others a sample is trusted: a factor on its noise. */
  doubt: Float64Array;
  /** How much of light that may have been added each sample reflects. */
  reflected: Float64Array;
  /** Which set each point came from, 0 on: every set has a spread of its own. */
  group: Uint8Array;
};

/** Several sets of samples as one. */
export const joinSamples = (sets: readonly Samples[]): Samples => {
  const join = (pick: (set: Samples) => Float64Array, channels: 1 | 3): Float64Array => {
    const total = sets.reduce((sum, set) => sum + set.count, 0);
    const out = new Float64Array(total * channels);
    for (let c = 0; c < channels; c++) {
      let at = c * total;
      for (const set of sets) {
        out.set(pick(set).subarray(c * set.count, (c + 1) * set.count), at);
        at += set.count;
      }
    }
    return out;
  };
  return {
    count: sets.reduce((sum, set) => sum + set.count, 0),
    xs: join(set => set.xs, 1),
    ys: join(set => set.ys, 1),
    frame: join(set => set.frame, 3),
    dark: join(set => set.dark, 3),
    lights: (sets[0]?.lights ?? []).map((_, k) => join(set => set.lights[k]!, 3)),
    roughness: join(set => set.roughness, 3),
    doubt: join(set => set.doubt, 3),
    reflected: join(set => set.reflected, 3),
    group: Uint8Array.from(sets.flatMap((set, group) => new Array<number>(set.count).fill(group))),
  };
};

/** The sitter's samples, of head and body, and the wall's as a set of its own. */
export const withWall = (sitter: Samples, wall: Samples): Samples => {
  const joined = joinSamples([sitter, wall]);
  joined.group.set(sitter.group);
  joined.group.fill(WALL_GROUP, sitter.count);
  return joined;
};

/** The set that the wall's samples are. */
export const WALL_GROUP = 2;

/** Mean of 3 × 3 pixels around a whole position clear of the edge. */
export const meanAround = (plane: Float32Array, width: number, height: number, x: number, y: number): number => {
  if (x < 1 || y < 1 || x > width - 2 || y > height - 2) return sampleAt(plane, width, height, x, y);
  const at = y * width + x;
  let sum = 0;
  for (let row = at - width; row <= at + width; row += width) sum += plane[row - 1]! + plane[row]! + plane[row + 1]!;
  return sum / 9;
};

/**
 * Samples a frame (averaging 3 × 3 pixels) and plates that were smoothed so before.
 * @param points whole positions in the frame
 * @param dark and lights: smoothed by a mean over 3 × 3 pixels
 * @param doubt how much less than others these points are trusted
 * @param placements where each light's plate shows what the frame shows
 * @param darkPlacement where the dark plate does
 */
export const samplePoints = (
  points: {xs: Float64Array; ys: Float64Array},
  frame: WorkImage,
  dark: WorkImage | null,
  lights: readonly WorkImage[],
  placements: readonly Placement[],
  darkPlacement: Placement,
  doubt: number,
): Samples => {
  const count = points.xs.length;
  const samples: Samples = {
    count,
    xs: points.xs,
    ys: points.ys,
    frame: new Float64Array(3 * count),
    dark: new Float64Array(3 * count),
    lights: lights.map(() => new Float64Array(3 * count)),
    roughness: new Float64Array(3 * count),
    doubt: new Float64Array(3 * count).fill(doubt),
    reflected: new Float64Array(3 * count).fill(1),
    group: new Uint8Array(count),
  };
  const channels = ['r', 'g', 'b'] as const;
  channels.forEach((channel, c) => {
    const planes = lights.map(light => light[channel]);
    sampleChannel(samples, c, frame, frame[channel], dark?.[channel] ?? null, planes, placements, darkPlacement);
  });
  return samples;
};

const sampleChannel = (
  samples: Samples,
  c: number,
  {width, height}: WorkImage,
  seen: Float32Array,
  dark: Float32Array | null,
  planes: readonly Float32Array[],
  placements: readonly Placement[],
  inDark: Placement,
): void => {
  const {count, xs, ys} = samples;
  for (let i = 0; i < count; i++) {
    const at = c * count + i;
    const x = xs[i]!;
    const y = ys[i]!;
    samples.frame[at] = meanAround(seen, width, height, x, y);
    if (dark) {
      const dx = inDark.ax * x + inDark.bx * y + inDark.cx;
      const dy = inDark.ay * x + inDark.by * y + inDark.cy;
      samples.dark[at] = sampleAt(dark, width, height, dx, dy);
    }
    let rough = 0;
    for (let k = 0; k < planes.length; k++) {
      const plane = planes[k]!;
      const placement = placements[k]!;
      const px = placement.ax * x + placement.bx * y + placement.cx;
      const py = placement.ay * x + placement.by * y + placement.cy;
      samples.lights[k]![at] = sampleAt(plane, width, height, px, py);
      rough = Math.max(
        rough,
        Math.abs(sampleAt(plane, width, height, px + 1, py) - sampleAt(plane, width, height, px - 1, py)),
        Math.abs(sampleAt(plane, width, height, px, py + 1) - sampleAt(plane, width, height, px, py - 1)),
      );
    }
    samples.roughness[at] = rough / 2;
  }
};
