import {coatDistance, scarfDistance} from './clothes.js';
import {
  beardDistance,
  browDistance,
  capDistance,
  eyeDistance,
  hairDistance,
  lidDistance,
  skinDistance,
} from './head.js';
import {type Distance, roughDistance} from './rough.js';
import {ball, join, rod} from './solids.js';
import type {Vector} from './space.js';

/** What a point of the sitter is made of. */
export const stuff = {skin: 0, eye: 1, beard: 2, hair: 3, cap: 4, scarf: 5, coat: 6} as const;
export type Stuff = (typeof stuff)[keyof typeof stuff];

/** How the head is turned: towards the left of the picture, chin a little down, metres and radians. */
const YAW = -0.24;
const NOD = 0.05;
const TILT = 0.035;

/** The sitter as a solid in the room. */
export type Person = {
  /** Distance from a point of the room to the sitter's surface, metres; never more than it really is. */
  distance: Distance;
  /** The same, quick and off by up to ROUGH_ERROR: for walking through empty space and for shadows. */
  rough: Distance;
  /** What the nearest surface is made of. */
  stuffAt(x: number, y: number, z: number): Stuff;
  /** A point of the room in the head's own frame. */
  inHead(point: Vector): Vector;
  /** A sphere around the head and one around the whole sitter, for skipping what can't be hit. */
  head: {at: Vector; radius: number};
  whole: {at: Vector; radius: number};
};

/** The sitter standing on the mark with the eyes at this height, metres. */
export const personOf = (eyeHeight: number): Person => {
  const [cy, sy, cn, sn, ct, st] = [YAW, NOD, TILT].flatMap(a => [Math.cos(a), Math.sin(a)]) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  // The head turns about the neck, which is behind and below the eyes.
  const pivotY = eyeHeight - 0.06;
  const pivotZ = -0.02;
  const at: [number, number, number] = [0, 0, 0];
  const toHead = (x: number, y: number, z: number): void => {
    const py = y - pivotY;
    const pz = z - pivotZ;
    const tx = ct * x - st * py;
    const ty = st * x + ct * py;
    const yx = cy * tx - sy * pz;
    const yz = sy * tx + cy * pz;
    at[0] = yx;
    at[1] = cn * ty + sn * yz - 0.06;
    at[2] = -sn * ty + cn * yz - 0.02;
  };
  const parts = new Float64Array(7);
  /** Distances of all parts; one that can't be the nearest only gets the bound of the sphere around it. */
  const measure = (x: number, y: number, z: number): void => {
    toHead(x, y, z);
    const hx = at[0];
    const hy = at[1];
    const hz = at[2];
    const far = ball(hx, hy + 0.01, hz, 0.185);
    if (far > 0.06) {
      parts.fill(far, 0, 5);
    } else {
      let best = join(skinDistance(hx, hy, hz), lidDistance(hx, hy, hz), 0.003);
      parts[0] = best;
      parts[1] = eyeDistance(hx, hy, hz);
      best = Math.min(best, parts[1]!);
      const toBeard = ball(hx, hy + 0.095, hz - 0.045, 0.098);
      const toBrow = ball(hx, hy - 0.018, hz - 0.075, 0.058);
      const beard = toBeard < best ? beardDistance(hx, hy, hz) : toBeard;
      const brow = toBrow < best ? browDistance(hx, hy, hz) : toBrow;
      parts[2] = Math.min(beard, brow);
      best = Math.min(best, parts[2]!);
      const toCap = Math.max(ball(hx, hy - 0.07, hz + 0.02, 0.125), 0.015 - hy);
      parts[4] = toCap < best ? capDistance(hx, hy, hz) : toCap;
      best = Math.min(best, parts[4]!);
      const toHair = ball(hx, hy - 0.01, hz + 0.03, 0.115);
      parts[3] = toHair < best ? hairDistance(hx, hy, hz) : toHair;
    }
    const by = y - eyeHeight;
    if (by > 0.02) {
      parts[5] = by + 0.1;
      parts[6] = by + 0.1;
      return;
    }
    parts[6] = coatDistance(x, by, z);
    const toScarf = rod(x, by, z, 0, -0.175, -0.02, 0.05, -0.46, 0.11, 0.115, 0.06);
    parts[5] = toScarf < parts[6]! ? scarfDistance(x, by, z) : toScarf;
  };
  const distance = (x: number, y: number, z: number): number => {
    measure(x, y, z);
    return Math.min(parts[0]!, parts[1]!, parts[2]!, parts[3]!, parts[4]!, parts[5]!, parts[6]!);
  };
  const rough = roughDistance(distance, {
    from: [-0.36, eyeHeight - 0.66, -0.24],
    to: [0.36, eyeHeight + 0.2, 0.22],
  });
  return {
    distance,
    rough,
    stuffAt: (x, y, z) => {
      measure(x, y, z);
      let best = 0;
      for (let i = 1; i < 7; i += 1) if (parts[i]! < parts[best]!) best = i;
      return best as Stuff;
    },
    inHead: point => {
      toHead(...point);
      return [...at];
    },
    head: {at: [0, eyeHeight, 0], radius: 0.21},
    whole: {at: [0, eyeHeight - 0.32, 0], radius: 0.58},
  };
};
