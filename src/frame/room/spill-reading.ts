import {levelEv} from '../../../shared/level.js';
import type {Measurement} from '../../../shared/reading.js';
import {lightAt, type ToneTable} from '../curve/tone-curve.js';
import {LUMA_B, LUMA_G, LUMA_R} from '../luma.js';
import {PLACES, type WallLight, type WallPlates} from './wall-samples.js';

/** Light on the wall under this level is none, EV. */
const LEAST_EV = -10;

/** Luminance that one light alone puts on each block of the wall, on its plate. */
const onBlocks = (wall: WallPlates, index: number, curve: ToneTable): Float64Array => {
  const out = new Float64Array(wall.blocks.length);
  addOwn(wall.lights[index]![0]!, wall.dark?.[0] ?? null, LUMA_R, curve, out);
  addOwn(wall.lights[index]![1]!, wall.dark?.[1] ?? null, LUMA_G, curve, out);
  addOwn(wall.lights[index]![2]!, wall.dark?.[2] ?? null, LUMA_B, curve, out);
  return out;
};

const addOwn = (
  plane: Float32Array,
  dark: Float32Array | null,
  weight: number,
  curve: ToneTable,
  out: Float64Array,
): void => {
  for (let at = 0; at < plane.length; at++) {
    const block = (at / PLACES) | 0;
    const own = lightAt(curve, plane[at]!) - (dark ? lightAt(curve, dark[at]!) : 0);
    out[block] = out[block]! + (weight * own) / PLACES;
  }
};

/**
 * The strongest patch of each fired light on the wall, and its part of what that patch holds.
 * @param power each light's power in this frame, linear; 0 where it did not fire
 * @param newLight new room light of each block
 */
export const spillReading = (
  lights: readonly {id: string; power: number}[],
  wall: WallPlates,
  light: WallLight,
  newLight: ArrayLike<number>,
  curve: ToneTable,
): Measurement['spill'] =>
  lights.flatMap(({id, power}, index) => {
    if (power <= 0) return [];
    const own = onBlocks(wall, index, curve);
    let best = 0;
    for (let block = 1; block < own.length; block++) if (own[block]! > own[best]!) best = block;
    const level = power * (own[best] ?? 0);
    if (!(levelEv(level) > LEAST_EV)) return [];
    const {x, y} = wall.blocks[best]!;
    const all = light.dark[best]! + Math.max(0, light.flash[best]!) + Math.max(0, newLight[best]!);
    return [{light: id, levelEv: levelEv(level), at: {x, y}, share: Math.min(1, level / Math.max(level, all))}];
  });
