import {lumps} from './random.js';
import {ball, carve, ellipsoid, join, rod} from './solids.js';

/*
 * The keeper's head in its own frame: the origin is inside it at the height of the pupils, x to the right of the picture, y up,
 * z out of the face, metres. About 0.23 m from chin to crown. An invented person; proportions are the drawing school's
 * (eyes at half the height, an eye's width between the eyes).
 */

/** Skull, jaw and the soft parts over them, without eyes, beard and cap. `x` may be either side: the face is even. */
export const skinDistance = (x: number, y: number, z: number): number => {
  const s = Math.abs(x);
  let d = ellipsoid(x, y - 0.03, z + 0.015, 0.074, 0.088, 0.096);
  d = join(d, ellipsoid(x, y + 0.03, z - 0.013, 0.06, 0.086, 0.066), 0.03);
  d = join(d, ball(x, y + 0.097, z - 0.062, 0.019), 0.03);
  d = join(d, rod(s, y, z, 0.012, -0.104, 0.052, 0.05, -0.066, 0.0, 0.012, 0.016), 0.03);
  d = join(d, ellipsoid(s - 0.046, y + 0.02, z - 0.046, 0.02, 0.014, 0.02), 0.024);
  d = join(d, rod(s, y, z, 0.008, 0.0185, 0.081, 0.044, 0.0195, 0.062, 0.0085, 0.008), 0.016);
  d = carve(d, ellipsoid(s - 0.0325, y - 0.001, z - 0.096, 0.021, 0.0125, 0.021), 0.016);
  d = join(d, ellipsoid(s - 0.029, y + 0.0165, z - 0.072, 0.014, 0.005, 0.006), 0.01);
  d = join(d, rod(x, y, z, 0, 0.008, 0.079, 0, -0.034, 0.1015, 0.0075, 0.0105), 0.014);
  d = join(d, ball(x, y + 0.0365, z - 0.102, 0.0118), 0.006);
  d = join(d, ellipsoid(s - 0.0128, y + 0.0395, z - 0.0895, 0.0078, 0.0078, 0.011), 0.006);
  d = carve(d, ellipsoid(s - 0.0068, y + 0.0475, z - 0.097, 0.0038, 0.003, 0.006), 0.004);
  d = join(d, rod(s, y, z, 0, -0.0635, 0.0885, 0.021, -0.0675, 0.076, 0.0055, 0.003), 0.007);
  d = join(d, rod(s, y, z, 0, -0.0765, 0.0875, 0.018, -0.074, 0.077, 0.0068, 0.004), 0.008);
  d = carve(d, ellipsoid(x, y + 0.07 - s * s * 3, z - 0.094, 0.02, 0.0007, 0.009), 0.003);
  d = join(d, earDistance(s, y, z), 0.008);
  return join(d, rod(x, y, z, 0, -0.07, -0.022, 0, -0.25, -0.045, 0.052, 0.06), 0.02);
};

const earDistance = (s: number, y: number, z: number): number => {
  const flare = s - 0.0775 - 0.25 * (-0.012 - z);
  let d = ellipsoid(flare, y + 0.012 - 0.12 * z, z + 0.014, 0.008, 0.0305, 0.019);
  d = carve(d, ellipsoid(flare - 0.008, y + 0.01, z + 0.011, 0.006, 0.019, 0.0105), 0.005);
  return join(d, ball(flare + 0.002, y + 0.036, z + 0.008, 0.0075), 0.008);
};

/** The lids over the eyeballs; the opening between them shows the eye. */
export const lidDistance = (x: number, y: number, z: number): number => {
  const s = Math.abs(x) - 0.0315;
  const shell = ball(s, y + 0.0008, z - 0.0668, 0.0142);
  const bow = s * s * 26;
  const upper = Math.max(shell, 0.0032 - bow - y - s * 0.04);
  const lower = Math.max(shell, y + 0.0066 - bow * 0.7);
  return Math.min(upper, lower);
};

export const eyeDistance = (x: number, y: number, z: number): number =>
  ball(Math.abs(x) - 0.0315, y + 0.0008, z - 0.0668, 0.0126);

/** Full beard and moustache: a volume over jaw and lip, its skin broken up into locks. */
export const beardDistance = (x: number, y: number, z: number): number => {
  const s = Math.abs(x);
  let d = ellipsoid(x, y + 0.1, z - 0.036, 0.058, 0.05, 0.054);
  d = join(d, ellipsoid(x, y + 0.135, z - 0.052, 0.036, 0.032, 0.034), 0.03);
  d = join(d, rod(s, y, z, 0.064, -0.03, 0.006, 0.05, -0.085, 0.03, 0.009, 0.016), 0.02);
  d = carve(d, ellipsoid(x, y + 0.077, z - 0.1, 0.018, 0.0062, 0.024), 0.007);
  const lip = rod(s, y, z, 0.003, -0.0575, 0.0965, 0.034, -0.08, 0.074, 0.0092, 0.0045);
  d = Math.min(d, lip);
  if (d > 0.02) return d;
  const locks = lumps(x * 260 + y * 60, y * 62, z * 210, 11) * 0.6 + lumps(x * 560, y * 120, z * 470, 12) * 0.4;
  return d + 0.002 - locks * 0.006;
};

/** Hair at temples and nape, under the cap. */
export const hairDistance = (x: number, y: number, z: number): number => {
  const s = Math.abs(x);
  const d = Math.max(
    ellipsoid(x, y - 0.02, z + 0.022, 0.0795, 0.1, 0.1),
    z - 0.03 - Math.max(0, y) * 0.35,
    -y - 0.055 - Math.max(0, -z) * 0.6,
    0.012 - s + Math.max(0, z) * 0.2,
  );
  if (d > 0.02) return d;
  return d + 0.001 - lumps(x * 300, y * 80, z * 260, 21) * 0.004;
};

/** Brows: short hairs that sweep outwards. */
export const browDistance = (x: number, y: number, z: number): number => {
  const s = Math.abs(x);
  const inner = rod(s, y, z, 0.013, 0.0165, 0.0865, 0.032, 0.0225, 0.0795, 0.0034, 0.0044);
  const d = Math.min(inner, rod(s, y, z, 0.032, 0.0225, 0.0795, 0.049, 0.0175, 0.063, 0.0044, 0.0014));
  return d > 0.008 ? d : d + 0.0012 - lumps(s * 260 + y * 420, y * 900 - s * 420, z * 200, 31) * 0.0026;
};

/** The knitted cap: a dome over the crown with a turned-up, ribbed rim. */
export const capDistance = (x: number, y: number, z: number): number => {
  const tilt = y - 0.058 + z * 0.16;
  const around = Math.atan2(x, z + 0.012);
  const near = ellipsoid(x, y - 0.045, z + 0.018, 0.086, 0.1, 0.108);
  if (near > 0.04) return near - 0.006;
  const rib = Math.cos(around * 62);
  const dome = Math.max(ellipsoid(x, y - 0.05, z + 0.02, 0.0835, 0.094, 0.104) - rib * 0.0009, -tilt);
  const rim = Math.max(
    Math.abs(ellipsoid(x, y - 0.045, z + 0.0175, 0.0845, 0.1, 0.106)) - 0.0055 - rib * 0.0013,
    Math.abs(tilt - 0.012) - 0.02,
  );
  const slouch = ball(x - 0.012, y - 0.128, z + 0.05, 0.03);
  return Math.min(join(dome, slouch, 0.03), rim - 0.0015);
};
