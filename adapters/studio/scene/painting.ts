import {hashOf, randomOf, wander} from './random.js';
import {ramp, type Vector} from './space.js';

/** Where the painting light is at a moment, and whether it shines to the camera. */
export type BrushPoint = {
  at: Vector;
  seconds: number;
  shine: number;
  /** How the wand is turned in the hand, radians: its rows of diodes lie apart or behind each other. */
  twist: number;
};

/** What goes wrong in a painting; `none` still has a hand's small errors. */
export const slips = ['none', 'crossing', 'high', 'open top', 'drift', 'short'] as const;
export type Slip = (typeof slips)[number];

export type Painting = {slip: Slip; points: BrushPoint[]};

/** Share of the attempts that each slip spoils; the rest have none. */
const shares: [Slip, number][] = [
  ['crossing', 0.2],
  ['high', 0.14],
  ['open top', 0.12],
  ['drift', 0.12],
  ['short', 0.08],
];

/** What chance lets go wrong in this painting of the evening. */
export const slipOf = (seed: number, number: number): Slip => {
  let left = randomOf(seed, 'slip', number).next();
  for (const [slip, share] of shares) {
    left -= share;
    if (left < 0) return slip;
  }
  return 'none';
};

/** Samples of the way a second: fine enough that the trail has no beads. */
const PER_SECOND = 900;

/**
 * One painting by a sitter who can't see what comes of it: loops over the head from shoulder to shoulder, which come
 * back behind the body, with the errors of a hand. The same seed and number give the same painting.
 * @param number which painting of the evening, from 0
 * @param eyeHeight metres above the floor
 * @param from when the sitter begins and ends, seconds from the opening
 */
export const paintingOf = (
  seed: number,
  number: number,
  eyeHeight: number,
  from: number,
  to: number,
  asked: Slip | null = null,
): Painting => {
  const random = randomOf(seed, 'painting', number);
  const slip = asked ?? slipOf(seed, number);
  const duration = to - from;
  const turns = (random.between(0.95, 1.2) * duration) / 2.6;
  const clockwise = random.next() < 0.8 ? 1 : -1;
  const start = -2.1 * clockwise;
  const wide = random.between(0.25, 0.3);
  const tall = slip === 'high' ? random.between(0.37, 0.4) : random.between(0.235, 0.275);
  const grow = random.between(-0.035, 0.05);
  const side =
    slip === 'drift' ? random.between(0.11, 0.16) * (random.next() < 0.5 ? -1 : 1) : random.between(-0.02, 0.02);
  const salt = hashOf(seed, 'hand', number);
  const dip = {at: random.between(0.25, 0.8), down: random.between(0, 0.07), aside: random.between(-0.045, 0.045)};
  const openAt = random.between(-0.15, 0.15);
  const ends = slip === 'short' ? random.between(0.32, 0.42) : 1;
  // A hand goes slower where it turns at the shoulders and quicker over the head.
  const angleAt = (part: number): number =>
    start + clockwise * (part * turns * 2 * Math.PI + 0.16 * Math.sin(part * turns * 4 * Math.PI + 1));
  // Hands are lowered from above the head: the slip comes when the light is next there.
  while (Math.cos(angleAt(dip.at)) < 0.3 && dip.at > 0.15) dip.at -= 0.01;
  const points: BrushPoint[] = [];
  const count = Math.max(0, Math.floor(duration * PER_SECOND));
  for (let i = 0; i < count; i += 1) {
    const part = i / count;
    const seconds = from + part * duration;
    if (part > ends) break;
    const angle = angleAt(part);
    const up = Math.cos(angle);
    const loose = 1 + grow * part * 4 + 0.06 * wander(seconds, 0.55, salt) + 0.02 * wander(seconds, 1.3, salt + 1);
    let x = side * ramp(0, 0.3, part) + Math.sin(angle) * wide * loose;
    let y = eyeHeight + 0.01 + up * (up > 0 ? tall : 0.33) * loose;
    const z = 0.08 - 0.32 * ramp(0.35, -0.5, up);
    x += 0.005 * wander(seconds, 2.1, salt + 2) + 0.0008 * wander(seconds, 8, salt + 3);
    y += 0.005 * wander(seconds, 2.3, salt + 4) + 0.0008 * wander(seconds, 9, salt + 5);
    let front = z;
    if (slip === 'crossing') {
      // Once, the hand is lowered too early and the light comes past the face.
      const near = Math.exp(-(((part - dip.at) / 0.055) ** 2));
      y += (eyeHeight - dip.down - y) * near * 0.97;
      x += (dip.aside - x) * near * 0.9;
      front += (0.24 - z) * near;
    }
    let shine = ramp(0, 0.02, part) * ramp(ends, ends - 0.02, part);
    if (slip === 'open top')
      shine *= ramp(0.42, 0.6, Math.abs(Math.atan2(Math.sin(angle - openAt), Math.cos(angle - openAt))));
    shine *= 0.85 + 0.15 * wander(seconds, 1.9, salt + 6);
    const twist = 1.1 * wander(seconds, 0.7, salt + 7) + 0.35 * wander(seconds, 2.2, salt + 8);
    points.push({at: [x, y, front], seconds, shine: Math.max(0, shine), twist});
  }
  return {slip, points};
};
