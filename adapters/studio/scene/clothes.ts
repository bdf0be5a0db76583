import {lumps} from './random.js';
import {ball, carve, ellipsoid, join, ring, rod} from './solids.js';

/* Neck down, in the body's frame: the origin is between the eyes as for the head, but the body stands square to the camera. */

/** A heavy coat with its collar up, two rows of buttons. */
export const coatDistance = (x: number, y: number, z: number): number => {
  const s = Math.abs(x);
  let d = ellipsoid(x, y + 0.54, z + 0.03, 0.225, 0.36, 0.135);
  d = join(d, rod(s, y, z, 0.03, -0.2, -0.035, 0.185, -0.262, -0.035, 0.05, 0.062), 0.07);
  d = join(d, rod(s, y, z, 0.2, -0.285, -0.035, 0.262, -0.62, 0.0, 0.07, 0.056), 0.03);
  const lapel = Math.max(
    ellipsoid(x, y + 0.5, z + 0.025, 0.215, 0.35, 0.142),
    Math.abs(s - 0.05 + (y + 0.3) * 0.28) - 0.04,
    y + 0.215,
    -0.43 - y,
  );
  d = join(d, lapel - 0.004, 0.006);
  const open = s * 0.9 - 0.012 - (y + 0.36) * 0.34;
  if (y > -0.4 && z > 0) d = carve(d, Math.max(open, ellipsoid(x, y + 0.3, z - 0.1, 0.1, 0.17, 0.06)), 0.01);
  d = join(d, collarDistance(x, y, z), 0.008);
  if (d > 0.03) return d;
  const folds = lumps(x * 14, y * 7, z * 12, 41) * 0.008 + lumps(x * 40, y * 26, z * 30, 42) * 0.002;
  const buttons = ball(s - 0.058, ((((y + 0.44) % 0.085) + 0.1275) % 0.085) - 0.0425, z - 0.105, 0.011);
  return Math.min(d + 0.004 - folds, y < -0.42 ? buttons : d + 0.004 - folds);
};

const collarDistance = (x: number, y: number, z: number): number => {
  const rise = y + 0.175 - z * 0.35;
  const wide = 0.088 + rise * 0.22;
  const wall = Math.abs(Math.sqrt(x * x + ((z + 0.03) / 0.92) ** 2) - wide) - 0.006;
  const open = Math.min(0.05 - rise * 0.1 - Math.abs(x), z * 2);
  return Math.max(wall, Math.abs(rise) - 0.05 - Math.max(0, -z) * 0.15, open);
};

/** A wool scarf, twice around the neck, one end hanging down the front. */
export const scarfDistance = (x: number, y: number, z: number): number => {
  const first = ring(x, y + 0.162 - z * 0.28 + x * 0.1, z + 0.022, 0.069, 0.026, 0.98);
  const second = ring(x, y + 0.198 - z * 0.22 - x * 0.16, z + 0.02, 0.076, 0.027, 1);
  let d = join(first, second, 0.008);
  const end = rod(x, y, z, 0.022, -0.2, 0.078, 0.06, -0.46, 0.118, 0.026, 0.04);
  d = join(d, Math.max(end, Math.abs(z - 0.078 + (y + 0.2) * 0.12) - 0.016), 0.012);
  if (d > 0.02) return d;
  const weave = Math.sin(Math.atan2(x, z + 0.02) * 7 + y * 120) * 0.0022 + lumps(x * 45, y * 60, z * 45, 51) * 0.006;
  return d + 0.002 - weave;
};
