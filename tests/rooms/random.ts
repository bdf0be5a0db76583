/** Seeded numbers: the same seed gives the same room on every machine. */
export type Random = {
  /** Uniform in [0, 1). */
  next(): number;
  between(low: number, high: number): number;
  /** Whole number from low to high, both included. */
  integer(low: number, high: number): number;
  /** Normal with mean 0 and standard deviation 1 (Box–Muller). */
  normal(): number;
  chance(probability: number): boolean;
  pick<T>(list: readonly T[]): T;
  /** A shuffled copy (Fisher–Yates). */
  shuffle<T>(list: readonly T[]): T[];
  /** A stream of its own, so that a change in one part of a room leaves the others as they were. */
  fork(label: string): Random;
};

/** 32-bit FNV-1a of a text. */
const hashText = (text: string): number => {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash >>> 0;
};

/** A generator (mulberry32) seeded by a text. */
export const seeded = (seed: string): Random => {
  let state = hashText(seed);
  const next = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  return {
    next,
    between: (low, high) => low + (high - low) * next(),
    integer: (low, high) => low + Math.floor(next() * (high - low + 1)),
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    chance: probability => next() < probability,
    pick: list => list[Math.floor(next() * list.length)]!,
    shuffle: list => {
      const copy = [...list];
      for (let i = copy.length - 1; i > 0; i--) {
        const j = Math.floor(next() * (i + 1));
        [copy[i], copy[j]] = [copy[j]!, copy[i]!];
      }
      return copy;
    },
    fork: label => seeded(`${seed}/${label}`),
  };
};

const latticePoint = (x: number, y: number, seed: number): number => {
  let hash = Math.imul(x, 374761393) + Math.imul(y, 668265263) + Math.imul(seed, 1442695041);
  hash = Math.imul(hash ^ (hash >>> 13), 1274126177);
  return ((hash ^ (hash >>> 16)) >>> 0) / 4294967296;
};

/** Repeatable noise on a lattice, smooth between the points; values in 0..1. */
export const latticeNoise = (x: number, y: number, seed: number): number => {
  const x0 = Math.floor(x);
  const y0 = Math.floor(y);
  const fx = x - x0;
  const fy = y - y0;
  const sx = fx * fx * (3 - 2 * fx);
  const sy = fy * fy * (3 - 2 * fy);
  const top = latticePoint(x0, y0, seed) * (1 - sx) + latticePoint(x0 + 1, y0, seed) * sx;
  const bottom = latticePoint(x0, y0 + 1, seed) * (1 - sx) + latticePoint(x0 + 1, y0 + 1, seed) * sx;
  return top + (bottom - top) * sy;
};

/** Several octaves of lattice noise; values in 0..1, mean about 0.5. */
export const fractalNoise = (x: number, y: number, seed: number, octaves: number): number => {
  let sum = 0;
  let weight = 0;
  for (let octave = 0; octave < octaves; octave++) {
    const amplitude = 0.5 ** octave;
    sum += amplitude * latticeNoise(x * 2 ** octave, y * 2 ** octave, seed + octave * 101);
    weight += amplitude;
  }
  return sum / weight;
};
