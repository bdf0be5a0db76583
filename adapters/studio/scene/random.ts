/** A seeded source of chance: the same seed and name always give the same row of numbers. */
export type Random = {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Normal with mean 0 and σ 1 (Box–Muller). */
  normal(): number;
};

/** 32-bit hash of a text and numbers (FNV-1a with a final mix). */
export const hashOf = (...parts: (string | number)[]): number => {
  let hash = 0x811c9dc5;
  for (const char of parts.join('\u0001')) {
    hash = Math.imul(hash ^ char.charCodeAt(0), 0x01000193);
  }
  hash = Math.imul(hash ^ (hash >>> 16), 0x7feb352d);
  hash = Math.imul(hash ^ (hash >>> 15), 0x846ca68b);
  return (hash ^ (hash >>> 16)) >>> 0;
};

/** A source of its own for each purpose, so that one more draw in one place never changes another. */
export const randomOf = (...parts: (string | number)[]): Random => {
  let state = hashOf(...parts);
  const next = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  return {
    next,
    between: (low, high) => low + (high - low) * next(),
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
  };
};

const cellValue = (x: number, y: number, z: number, salt: number): number => {
  let hash = Math.imul(x, 0x27d4eb2d) ^ Math.imul(y, 0x165667b1) ^ Math.imul(z, 0x9e3779b1) ^ salt;
  hash = Math.imul(hash ^ (hash >>> 15), 0x85ebca6b);
  hash ^= hash >>> 13;
  return (hash >>> 0) / 4294967296;
};

const smooth = (t: number): number => t * t * (3 - 2 * t);

/** Smooth value noise in space, 0 to 1, one lump a unit. No function inside it: it runs for every pixel. */
export const lumps = (x: number, y: number, z: number, salt: number): number => {
  const ix = Math.floor(x);
  const iy = Math.floor(y);
  const iz = Math.floor(z);
  const fx = smooth(x - ix);
  const fy = smooth(y - iy);
  const fz = smooth(z - iz);
  const a = cellValue(ix, iy, iz, salt);
  const b = cellValue(ix, iy + 1, iz, salt);
  const c = cellValue(ix, iy, iz + 1, salt);
  const d = cellValue(ix, iy + 1, iz + 1, salt);
  const near = a + (cellValue(ix + 1, iy, iz, salt) - a) * fx;
  const far = c + (cellValue(ix + 1, iy, iz + 1, salt) - c) * fx;
  const nearUp = b + (cellValue(ix + 1, iy + 1, iz, salt) - b) * fx;
  const farUp = d + (cellValue(ix + 1, iy + 1, iz + 1, salt) - d) * fx;
  const front = near + (nearUp - near) * fy;
  return front + (far + (farUp - far) * fy - front) * fz;
};

/** Lumps of several sizes laid over each other, each half as big and half as strong; 0 to 1. */
export const roughness = (x: number, y: number, z: number, salt: number, octaves: number): number => {
  let sum = 0;
  let weight = 0;
  let strength = 1;
  let scale = 1;
  for (let octave = 0; octave < octaves; octave += 1) {
    sum += strength * lumps(x * scale, y * scale, z * scale, salt + octave * 101);
    weight += strength;
    strength /= 2;
    scale *= 2.03;
  }
  return sum / weight;
};

/** A wandering value over time for a hand or a body: smooth, mean 0, within ±1, about `perSecond` swings a second. */
export const wander = (seconds: number, perSecond: number, salt: number): number => {
  const turn = 2 * Math.PI * perSecond * seconds;
  const [a, b, c] = [salt & 255, (salt >>> 8) & 255, (salt >>> 16) & 255];
  return 0.5 * Math.sin(turn + a) + 0.3 * Math.sin(turn * 0.618 + b) + 0.2 * Math.sin(turn * 1.73 + c);
};
