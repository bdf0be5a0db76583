/** Distance to a surface from a point of the room, metres; negative inside. */
export type Distance = (x: number, y: number, z: number) => number;

type Box = {from: readonly [number, number, number]; to: readonly [number, number, number]};

/** Metres between the points at which the exact distance is kept, and between those that come first. */
const FINE = 0.008;
const RATIO = 4;

/** How far a rough distance may be off near thin parts, metres. */
export const ROUGH_ERROR = 0.005;

/**
 * A quick stand-in for a costly distance: kept on a grid and blended in between. Exact values are only asked for near
 * the surface; farther off those of a four times coarser grid are blended. Outside the box it is the distance to the box and a little more.
 */
export const roughDistance = (exact: Distance, box: Box): Distance => {
  const coarse = gridOf(box, FINE * RATIO, exact);
  const near = FINE * RATIO * 1.6;
  const fine = gridOf(box, FINE, (x, y, z) => {
    const d = coarse(x, y, z);
    return Math.abs(d) < near ? exact(x, y, z) : d;
  });
  const {from, to} = box;
  return (x, y, z) => {
    const ox = Math.max(from[0] - x, 0, x - to[0]);
    const oy = Math.max(from[1] - y, 0, y - to[1]);
    const oz = Math.max(from[2] - z, 0, z - to[2]);
    if (ox > 0 || oy > 0 || oz > 0) return Math.sqrt(ox * ox + oy * oy + oz * oz) + 0.006;
    return fine(x, y, z);
  };
};

const gridOf = ({from, to}: Box, step: number, value: Distance): Distance => {
  const nx = Math.ceil((to[0] - from[0]) / step) + 2;
  const ny = Math.ceil((to[1] - from[1]) / step) + 2;
  const nz = Math.ceil((to[2] - from[2]) / step) + 2;
  const kept = new Float32Array(nx * ny * nz);
  let at = 0;
  for (let k = 0; k < nz; k += 1) {
    for (let j = 0; j < ny; j += 1) {
      for (let i = 0; i < nx; i += 1) {
        kept[at] = value(from[0] + i * step, from[1] + j * step, from[2] + k * step);
        at += 1;
      }
    }
  }
  const row = nx;
  const sheet = nx * ny;
  return (x, y, z) => {
    const gx = Math.min(nx - 1.001, Math.max(0, (x - from[0]) / step));
    const gy = Math.min(ny - 1.001, Math.max(0, (y - from[1]) / step));
    const gz = Math.min(nz - 1.001, Math.max(0, (z - from[2]) / step));
    const i = Math.floor(gx);
    const j = Math.floor(gy);
    const k = Math.floor(gz);
    const fx = gx - i;
    const fy = gy - j;
    const fz = gz - k;
    const o = k * sheet + j * row + i;
    const a = kept[o]! + (kept[o + 1]! - kept[o]!) * fx;
    const b = kept[o + row]! + (kept[o + row + 1]! - kept[o + row]!) * fx;
    const c = kept[o + sheet]! + (kept[o + sheet + 1]! - kept[o + sheet]!) * fx;
    const d = kept[o + sheet + row]! + (kept[o + sheet + row + 1]! - kept[o + sheet + row]!) * fx;
    const front = a + (b - a) * fy;
    const back = c + (d - c) * fy;
    return front + (back - front) * fz;
  };
};
