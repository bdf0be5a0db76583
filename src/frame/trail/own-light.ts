import type {Expected} from '../expected-light.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../light-image.js';
import {REGION, type RegionMap} from '../regions.js';
import {MAD_TO_SIGMA, medianOf} from '../robust.js';

/** A trail pixel's own light is above −3 EV around middle grey. */
export const TRAIL_LIGHT = 0.18 * 2 ** -3;

/** Candidates for the trail. */
export type Candidates = {
  /** 0: no; 1: its own light is above the trail's least; 2: and it stands out beyond doubt. */
  mask: Uint8Array;
  /** Luminance beyond what plates and new room light explain. */
  own: Float32Array;
};

/** What a misplaced head may do: the part of the plates' change from one pixel to the next. */
const PLACE_PART = 0.35;
/** What a light's fitted power leaves open, as a part of its light. */
const POWER_PART = 0.025;
const LEAST_DOUBT = 0.0025;
/** By how many σ of what is usual around it a pixel must stand out to begin a trail, and to go on with one. */
const BEGIN = 6;
const GO_ON = 2.5;
/** On the wall: the part of the flashes' spill, and of new room light, that a trail must exceed. */
const SPILL_PART = 0.25;
const NEW_LIGHT_PART = 0.4;

type Plane = Float32Array;

/** Most less least of a plane over 3 × 3 pixels. */
const rangeAround = (plane: Plane, width: number, height: number, at: number): number => {
  const x = at % width;
  const y = (at - x) / width;
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let row = Math.max(0, y - 1); row <= Math.min(height - 1, y + 1); row++) {
    for (let column = Math.max(0, x - 1); column <= Math.min(width - 1, x + 1); column++) {
      const value = plane[row * width + column]!;
      if (value < least) least = value;
      if (value > most) most = value;
    }
  }
  return most - least;
};

/**
 * Picks the pixels whose own light may be a trail's.
 * @param newLight new room light over the frame, linear luminance
 * @param haze broad misfit on the sitter, as a part of the expected light, for each channel
 */
export const trailCandidates = ({expected, rest}: Expected, newLight: Plane, regions: RegionMap): Candidates => {
  const {width, height} = expected;
  const planes = [
    {rest: rest.r, expected: expected.r},
    {rest: rest.g, expected: expected.g},
    {rest: rest.b, expected: expected.b},
  ];
  const own = new Float32Array(width * height);
  for (let at = 0; at < own.length; at++) {
    own[at] = LUMA_R * rest.r[at]! + LUMA_G * rest.g[at]! + LUMA_B * rest.b[at]! - newLight[at]!;
  }
  const doubt = (plane: {expected: Plane}, at: number): number =>
    LEAST_DOUBT +
    POWER_PART * plane.expected[at]! +
    PLACE_PART * rangeAround(plane.expected, width, height, at) +
    0.2 * newLight[at]!;
  // How far the rest usually lies off on head and body, in units of its doubt.
  const usual = [REGION.head, REGION.body, REGION.near].map(region =>
    planes.map(plane => {
      const values: number[] = [];
      for (let at = 0; at < own.length; at += 11) {
        if (regions[at] !== region) continue;
        values.push(Math.abs((plane.rest[at]! - newLight[at]!) / doubt(plane, at)));
      }
      return values.length > 20 ? Math.max(0.25, MAD_TO_SIGMA * medianOf(values)) : 1;
    }),
  );
  const mask = new Uint8Array(width * height);
  for (let at = 0; at < own.length; at++) {
    if (own[at]! <= TRAIL_LIGHT) continue;
    const region = regions[at]!;
    if (region === REGION.wall) {
      const luminance = LUMA_R * expected.r[at]! + LUMA_G * expected.g[at]! + LUMA_B * expected.b[at]!;
      const least = Math.max(TRAIL_LIGHT, SPILL_PART * luminance + NEW_LIGHT_PART * newLight[at]!);
      if (own[at]! > least) mask[at] = 2;
      continue;
    }
    const sigmas = usual[region === REGION.head ? 0 : region === REGION.body ? 1 : 2]!;
    let most = 0;
    planes.forEach((plane, channel) => {
      const above = (plane.rest[at]! - newLight[at]!) / doubt(plane, at) / sigmas[channel]!;
      if (above > most) most = above;
    });
    if (most > BEGIN) mask[at] = 2;
    else if (most > GO_ON) mask[at] = 1;
  }
  return {mask, own};
};
