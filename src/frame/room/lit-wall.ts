import type {ToneTable} from '../curve/tone-curve.js';
import {quantile} from '../robust.js';
import {drawnOver} from './drawn-over.js';
import {fitNewLight, type NewLight} from './new-light.js';
import {type WallLight, type WallPlates, wallLight} from './wall-samples.js';

/**
 * The wall's light through one curve with one set of powers, and the new light on it; and what a code value more is, in
 * light, where the wall is as dark as on the dark plate.
 */
export type LitWall = {wall: WallLight; newLight: NewLight; ofCode: number};

/** Light that a code value makes, linear, where they are in proportion to light, as sRGB's are near black. */
export const OF_CODE = 0.0003;
/** A curve ends in a power where the fourth code is more than so many times as much light as the first. */
const POWERS_RATIO = 10;

const ofCodeAbout = (curve: ToneTable, light: number): number => {
  if (curve[4]! < POWERS_RATIO * curve[1]!) return OF_CODE;
  let code = 0;
  while (code < 254 && curve[code + 1]! < light) code++;
  return Math.min(OF_CODE, curve[code + 1]! - curve[code]!);
};

/** New light on the wall for a curve and powers. */
export const newLightOn = (
  plates: WallPlates,
  seen: readonly Float32Array[],
  curve: ToneTable,
  power: Float64Array,
): LitWall => {
  const wall = wallLight(plates, seen, curve, power);
  const ofCode = ofCodeAbout(curve, wall.dark.length === 0 ? 0 : quantile(wall.dark, 0.5));
  const doubt = wall.flash.map(
    (flash, i) => ofCode + 0.05 * wall.dark[i]! + 0.08 * Math.max(0, flash) + 0.5 * wall.mixed[i]!,
  );
  const even = wall.rest.map((rest, i) => rest / plates.reflectance[i]!);
  const spills = wall.flashOf.map(flash => flash.map((value, i) => value / plates.reflectance[i]!));
  const newLight = fitNewLight(plates.blocks, even, doubt, spills, drawnOver(plates.blocks, wall.standing));
  return {wall, newLight, ofCode};
};

/** Blocks that are enough to show a wall's pattern, what is typical of them, and new light that noise doesn't reach, linear. */
const ENOUGH_BLOCKS = 10;
const TYPICAL = 0.75;
const CLEAR_LIGHT = 0.006;

/** The wall's pattern as new light shows it, where no trail passes: its brightest places over what is typical there. */
export const patternOf = ({wall, newLight}: LitWall): number => {
  const parts: number[] = [];
  newLight.weights.forEach((weight, i) => {
    const light = newLight.blocks[i]!;
    if (weight > 0.5 && light > CLEAR_LIGHT && wall.mixed[i] === 0) parts.push(wall.most[i]! / light);
  });
  return parts.length < ENOUGH_BLOCKS ? 1 : Math.max(1, quantile(parts, TYPICAL));
};

/** New light by channel: the mean over the wall's blocks, as well as each fits. */
export const newLightNear = ({wall, newLight}: LitWall): [number, number, number] => {
  const sums: [number, number, number] = [0, 0, 0];
  let weights = 0;
  newLight.weights.forEach((weight, i) => {
    weights += weight;
    for (const c of [0, 1, 2] as const) sums[c] += weight * wall.restOf[c][i]!;
  });
  return sums.map(sum => Math.max(0, sum / Math.max(1e-9, weights))) as [number, number, number];
};

/** There may be where the fit adds so much in all, linear; or where the brighter tenth of the wall exceeds its doubts so. */
const ADDED = 0.006;
const BRIGHTER = 0.9;
const OVER_DOUBT = 1.5;

/** By how many times its doubt new light is seen where the wall is brighter; NaN where no block fits. */
export const overDoubt = ({blocks, doubts, weights}: NewLight): number =>
  quantile(
    blocks.map((light, i) => light / doubts[i]!).filter((_, i) => weights[i]! > 0.5),
    BRIGHTER,
  );

/** @param added how much of each shape of new light a fit found */
export const mayHaveNewLight = (added: Float64Array, newLight: NewLight): boolean =>
  added.reduce((sum, value) => sum + value, 0) > ADDED || overDoubt(newLight) > OVER_DOUBT;
