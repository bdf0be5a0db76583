/*
 * Everything that a fuzzed input is made of comes from one number, so that any finding can be made again.
 */

/** A seeded source of chance. */
export type Random = {
  /** 0 ≤ x < 1. */
  next(): number;
  /** A whole number from `least` to `most`, both included. */
  whole(least: number, most: number): number;
  pick<Value>(values: readonly Value[]): Value;
  /** Whether this time, with this probability. */
  chance(probability: number): boolean;
};

/** Mulberry32: small, fast, the same on every machine. */
export const randomOf = (seed: number): Random => {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  const whole = (least: number, most: number): number => least + Math.floor(next() * (most - least + 1));
  return {
    next,
    whole,
    pick: values => values[whole(0, values.length - 1)]!,
    chance: probability => next() < probability,
  };
};

/** Numbers at which counters, signs and lengths turn over. */
export const turningPoints = [
  0, 1, 2, 3, 4, 7, 8, 127, 128, 255, 256, 32_767, 32_768, 65_535, 65_536, 16_777_216, 2_147_483_647, 2_147_483_648,
  4_294_967_295,
] as const;

const writeNumber = (bytes: Buffer, random: Random): void => {
  const value = random.chance(0.7) ? random.pick(turningPoints) : random.whole(0, 0xffff_ffff);
  const size = random.pick([1, 2, 4, 8] as const);
  if (bytes.length < size) return;
  const at = random.whole(0, bytes.length - size);
  if (size === 1) bytes[at] = value & 0xff;
  else if (size === 2)
    random.chance(0.5) ? bytes.writeUInt16LE(value & 0xffff, at) : bytes.writeUInt16BE(value & 0xffff, at);
  else if (size === 4) random.chance(0.5) ? bytes.writeUInt32LE(value, at) : bytes.writeUInt32BE(value, at);
  else
    random.chance(0.5) ? bytes.writeBigUInt64LE(BigInt(value), at) : bytes.writeBigUInt64BE(BigInt(value) << 32n, at);
};

type Mutation = (bytes: Buffer, random: Random) => Buffer;

const mutations: Mutation[] = [
  (bytes, random) => {
    for (let count = random.whole(1, 8); count > 0 && bytes.length > 0; count--)
      bytes[random.whole(0, bytes.length - 1)]! ^= 1 << random.whole(0, 7);
    return bytes;
  },
  (bytes, random) => {
    for (let count = random.whole(1, 3); count > 0; count--) writeNumber(bytes, random);
    return bytes;
  },
  // The first bytes hold most of what steers a decoder.
  (bytes, random) => {
    const head = bytes.subarray(0, Math.min(bytes.length, 400));
    for (let count = random.whole(1, 4); count > 0; count--) writeNumber(head, random);
    return bytes;
  },
  (bytes, random) => bytes.subarray(0, random.whole(0, bytes.length)),
  (bytes, random) => {
    const from = random.whole(0, bytes.length);
    return Buffer.concat([
      bytes.subarray(0, from),
      bytes.subarray(Math.min(bytes.length, from + random.whole(1, 600))),
    ]);
  },
  (bytes, random) => {
    const from = random.whole(0, bytes.length);
    const piece = bytes.subarray(from, from + random.whole(1, 600));
    const to = random.whole(0, bytes.length);
    return Buffer.concat([bytes.subarray(0, to), piece, bytes.subarray(to)]);
  },
  (bytes, random) => {
    const noise = Buffer.from(Array.from({length: random.whole(1, 200)}, () => random.whole(0, 255)));
    const to = random.whole(0, bytes.length);
    return Buffer.concat([bytes.subarray(0, to), noise, bytes.subarray(to)]);
  },
];

/** A copy with one to three things wrong. */
export const mutated = (bytes: Buffer, random: Random): Buffer => {
  let bent = Buffer.from(bytes);
  for (let count = random.whole(1, 3); count > 0; count--) bent = Buffer.from(random.pick(mutations)(bent, random));
  return bent;
};
