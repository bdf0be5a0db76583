import type {Rgb} from './colour.js';
import type {Light} from './light.js';
import type {BrushPoint} from './painting.js';
import type {Relief} from './relief.js';
import {lengthOf, minus, type Vector} from './space.js';
import type {View} from './view.js';

/** Speed of hand at which the painting light gives its own level, metres a second. */
const USUAL_SPEED = 0.85;

/**
 * The wand's rows of diodes: how far each lies from the middle, metres, its share of the light, and its width, metres.
 */
const rows = [
  {off: 0, share: 1, wide: 0.0055},
  {off: 0.011, share: 0.4, wide: 0.0042},
  {off: -0.0085, share: 0.28, wide: 0.0042},
];

/**
 * Draws the moved light into the picture. It leaves more where the hand is slow; where it passes behind the sitter it
 * is hidden.
 * @param strength linear level of the trail's core at the usual speed of hand
 * @param untilSeconds when the shutter closes
 * @param shift where the sitter stands now against the relief, pixels
 */
export const drawTrail = (
  into: Light,
  view: View,
  relief: Relief,
  points: BrushPoint[],
  strength: number,
  colour: Rgb,
  untilSeconds: number,
  shift: {x: number; y: number},
): void => {
  for (let i = 1; i < points.length; i += 1) {
    const point = points[i]!;
    const before = points[i - 1]!;
    if (point.seconds > untilSeconds || before.seconds < 0 || point.shine <= 0) continue;
    const seen = view.project(point.at);
    const from = view.project(before.at);
    const seconds = point.seconds - before.seconds;
    const speed = lengthOf(minus(point.at, before.at)) / seconds;
    const perMetre = view.pixelsPerMetre(seen.depth);
    const step = Math.max(1e-6, Math.hypot(seen.x - from.x, seen.y - from.y));
    // Each dab adds what the light leaves while it stays; summed over the way, the core of the first row comes to `strength`.
    const left = strength * point.shine * (USUAL_SPEED / Math.max(0.05, speed)) * step;
    for (const {off, share, wide} of rows) {
      const radius = Math.max(0.55, (wide / 2) * perMetre);
      const aside = (off * Math.cos(point.twist) * perMetre) / step;
      const x = seen.x - (seen.y - from.y) * aside;
      const y = seen.y + (seen.x - from.x) * aside;
      dabAt(into, relief, {x, y, depth: seen.depth}, radius, (left * share) / (radius * 1.772), colour, shift);
    }
  }
};

const dabAt = (
  into: Light,
  relief: Relief,
  seen: {x: number; y: number; depth: number},
  radius: number,
  dab: number,
  colour: Rgb,
  shift: {x: number; y: number},
): void => {
  const reach = Math.ceil(radius * 2.2);
  const left = Math.max(0, Math.round(seen.x) - reach);
  const right = Math.min(into.width - 1, Math.round(seen.x) + reach);
  const top = Math.max(0, Math.round(seen.y) - reach);
  const bottom = Math.min(into.height - 1, Math.round(seen.y) + reach);
  for (let y = top; y <= bottom; y += 1) {
    for (let x = left; x <= right; x += 1) {
      const off2 = ((x - seen.x) ** 2 + (y - seen.y) ** 2) / (radius * radius);
      if (off2 > 4.5) continue;
      const light = dab * Math.exp(-off2) * (1 - hiddenAt(relief, x - shift.x, y - shift.y, seen.depth));
      const at = (y * into.width + x) * 3;
      for (let c = 0; c < 3; c += 1) into.rgb[at + c] = into.rgb[at + c]! + light * colour[c]!;
    }
  }
};

/** How much of the sitter stands between the camera and a light at this depth, 0 to 1. */
const hiddenAt = (relief: Relief, x: number, y: number, depth: number): number => {
  const rx = Math.round(x) - relief.left;
  const ry = Math.round(y) - relief.top;
  if (rx < 0 || ry < 0 || rx >= relief.width || ry >= relief.height) return 0;
  const at = ry * relief.width + rx;
  return relief.depth[at]! < depth ? relief.cover[at]! : 0;
};

/** How many points stand for the whole way when it comes to the glow on the sitter. */
const GLOW_POINTS = 40;

/** A few points of the way with their weights: where the moved light lit the sitter from. */
export const glowPoints = (points: BrushPoint[], untilSeconds: number): {at: Vector; weight: number}[] => {
  const step = Math.max(1, Math.floor(points.length / GLOW_POINTS));
  return points
    .filter((point, i) => i % step === 0 && point.seconds <= untilSeconds)
    .map(point => ({at: point.at, weight: point.shine / GLOW_POINTS}));
};
